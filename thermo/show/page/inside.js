"use strict";
// Look inside: the section and the gap at a moment, by slider, by key, or played.

const Inside = {
  init(data, page) {
    this.data = data;
    this.page = page;
    this.pixels = Uint8Array.from(atob(data.pixels), (c) => c.charCodeAt(0));
    this.shades = data.colours.map((c) => [0, 2, 4].map((k) => parseInt(c.slice(k, k + 2), 16)));
    const moment = page.getElementById("moment");
    moment.max = data.times.length - 1;
    moment.addEventListener("input", () => this.draw(Number(moment.value)));
    const units = page.getElementById("units");
    units.addEventListener("change", () => this.draw(Number(moment.value)));
    page.getElementById("play").addEventListener("click", () => this.play());
    this.draw(0);
  },

  play() {
    const moment = this.page.getElementById("moment");
    if (this.playing) {
      clearInterval(this.playing);
      this.playing = null;
      this.page.getElementById("play").textContent = "Play";
      return;
    }
    if (Number(moment.value) >= Number(moment.max)) moment.value = 0;
    this.page.getElementById("play").textContent = "Pause";
    this.playing = setInterval(() => {
      moment.value = Number(moment.value) + 1;
      this.draw(Number(moment.value));
      if (Number(moment.value) >= Number(moment.max)) this.play();
    }, 250);
  },

  draw(k) {
    this.section(k);
    this.gap(k);
    const [time, walls] = [this.data.times[k], this.data.walls[k]];
    const clock = time > this.data.off_s ? `${Math.round(time)} s, flame away` : `${Math.round(time)} s`;
    const outside = this.data.seen.find(([until]) => until === null || time < until);
    const filler = this.data.filler.filter(([from]) => from <= time).pop()[1];
    const say = (id, words) => (this.page.getElementById(id).textContent = words);
    say("at", clock);
    say("hottest", Units.degrees(this.page, this.data.hottest[k]));
    say("outside", outside ? outside[1] : "a dull ring, steel dark");
    say("within", `gap ${Units.degrees(this.page, ...walls)}; filler ${filler}`);
    this.page.getElementById("moment").setAttribute("aria-valuetext", clock);
  },

  section(k) {
    const { width, height, frame, outlines } = this.data;
    const image = new ImageData(width, height);
    const start = k * width * height;
    for (let i = 0; i < width * height; i++) {
      const shade = this.pixels[start + i];
      if (!shade) continue;
      image.data.set([...this.shades[shade - 1], 255], 4 * i);
    }
    const small = new OffscreenCanvas(width, height);
    small.getContext("2d").putImageData(image, 0, 0);
    const canvas = this.page.getElementById("section");
    canvas.width = 480;
    canvas.height = Math.round((480 * height) / width);
    const paper = canvas.getContext("2d");
    paper.fillStyle = "#ffffff";
    paper.fillRect(0, 0, canvas.width, canvas.height);
    paper.imageSmoothingEnabled = true;
    paper.drawImage(small, 0, 0, canvas.width, canvas.height);
    const [left, right, , top] = frame;
    const scale = canvas.width / (right - left);
    paper.strokeStyle = "#000000";
    paper.lineWidth = 2;
    for (const line of outlines) {
      paper.beginPath();
      line.forEach(([x, z], i) => paper[i ? "lineTo" : "moveTo"]((x - left) * scale, (top - z) * scale));
      paper.closePath();
      paper.stroke();
    }
    this.bead(paper, scale, this.data.times[k]);
  },

  // Filler at the mouth until it goes into the gap.
  bead(paper, scale, time) {
    const bead = this.data.bead;
    if (!bead || time >= bead.until) return;
    const [left, , , top] = this.data.frame;
    paper.beginPath();
    paper.arc((bead.x - left) * scale, (top - bead.z) * scale, bead.r * scale, 0, 2 * Math.PI);
    paper.fillStyle = "#B36B00";
    paper.fill();
    paper.stroke();
  },

  gap(k) {
    const time = this.data.times[k];
    const canvas = this.page.getElementById("unrolled");
    canvas.width = 480;
    canvas.height = 120;
    const paper = canvas.getContext("2d");
    paper.fillStyle = "#ffffff";
    paper.fillRect(0, 0, canvas.width, canvas.height);
    const deep = Math.max(...this.data.gap.map((place) => place[3]));
    for (const [left, right, low, high, ready, full] of this.data.gap) {
      const done = full !== null && full <= time;
      if (!done && !(ready !== null && ready <= time)) continue;
      paper.fillStyle = done ? "#B36B00" : "#D0D0D0";
      const x = ((left + 180) / 360) * canvas.width;
      const across = ((right - left) / 360) * canvas.width;
      paper.fillRect(x, (low / deep) * canvas.height, across + 0.6, ((high - low) / deep) * canvas.height + 0.6);
    }
    paper.strokeStyle = "#000000";
    paper.strokeRect(0.5, 0.5, canvas.width - 1, canvas.height - 1);
  },
};
