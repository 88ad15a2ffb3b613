"use strict";
// °C and mm, or °F and inches: every value was marked when the page was written.

const Units = {
  init(page) {
    const box = page.getElementById("units");
    box.addEventListener("change", () => this.show(page, box.checked));
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
