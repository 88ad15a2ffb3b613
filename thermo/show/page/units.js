"use strict";
// °C and mm, or °F and inches: every value was marked when the page was written.

const Units = {
  init(page) {
    const box = page.getElementById("units");
    box.addEventListener("change", () => this.show(page, box.checked));
  },

  // Temperatures that are shown as they come, one or a span of two.
  degrees(page, ...found) {
    const imperial = page.getElementById("units").checked;
    const shown = found.map((C) => Math.round(imperial ? C * 1.8 + 32 : C));
    return `${[...new Set(shown)].join(" to ")} ${imperial ? "°F" : "°C"}`;
  },

  show(page, imperial) {
    for (const one of page.querySelectorAll("[data-value]")) {
      const value = Number(one.dataset.value);
      if (!imperial) one.textContent = one.dataset.text;
      else if (one.dataset.unit === "°C") one.textContent = `${Math.round(value * 1.8 + 32)} °F`;
      else one.textContent = `${Number((value / 25.4).toPrecision(3))} in`;
    }
  },
};
