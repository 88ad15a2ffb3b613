"use strict";
// What was seen weighs the members: the same law as in Python, whose constants come with the page.

const Marks = {
  // Shares of the members after marks, an array of [cue, seconds].
  weights(cues, marks, law) {
    const count = Math.max(0, ...cues.map((cue) => cue.times.length));
    const misfit = new Array(count).fill(0);
    for (const [cue, at] of marks) {
      if (!cue.times.length) continue;
      const variance = law.reaction_s ** 2 + (law.model * at) ** 2;
      cue.times.forEach((t, k) => {
        misfit[k] += t === null ? Infinity : (t - at) ** 2 / variance;
      });
    }
    const least = Math.min(...misfit);
    if (!Number.isFinite(least)) return misfit.map(() => 1 / count);
    const found = misfit.map((x) => Math.exp(-0.5 * (x - least)));
    const total = found.reduce((a, b) => a + b, 0);
    return found.map((x) => x / total);
  },

  // Number of members that count.
  effective(shares) {
    return 1 / shares.reduce((sum, w) => sum + w * w, 0);
  },

  // Low, middle and high of values that count differently; null for never.
  band(times, shares, law) {
    const values = times.map((t) => (t === null ? Infinity : t));
    const order = values.map((_, k) => k).sort((a, b) => values[a] - values[b] || a - b);
    let sum = 0;
    const reached = order.map((k) => (sum += shares[k]));
    const end = (q) => {
      const found = reached.findIndex((x) => x >= q * sum);
      const value = values[order[found < 0 ? order.length - 1 : found]];
      return Number.isFinite(value) ? value : null;
    };
    return { low: end(law.low), middle: end(0.5), high: end(law.high) };
  },
};
