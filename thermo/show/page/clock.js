"use strict";
// The clock: counts from striking the flame, says what comes next, takes marks, keeps the log.

const Clock = {
  init(data, page, now = () => Date.now()) {
    this.data = data;
    this.page = page;
    this.now = now;
    this.key = `bench:${data.title}:${data.cues.map((cue) => cue.at_s).join(",")}`;
    this.state = { struck: null, marks: {}, ended: null, outcome: "", remark: "" };
    this.told = null;
    this.load();
    this.bind();
    this.draw();
    setInterval(() => this.draw(), 200);
  },

  get(id) {
    return this.page.getElementById(id);
  },

  load() {
    try {
      const kept = JSON.parse(localStorage.getItem(this.key));
      if (kept && typeof kept === "object") Object.assign(this.state, kept);
    } catch (fault) {
      this.get("kept").textContent = "This browser keeps no log: save it before you leave.";
    }
  },

  keep() {
    try {
      localStorage.setItem(this.key, JSON.stringify(this.state));
    } catch (fault) {
      this.get("kept").textContent = "This browser keeps no log: save it before you leave.";
    }
  },

  bind() {
    const on = (id, act) =>
      this.get(id).addEventListener("click", (event) => {
        event.stopPropagation();
        act();
      });
    on("start", () => this.start());
    on("seen", () => this.mark());
    on("back", () => this.takeBack());
    on("stop", () => this.stop());
    on("new", () => this.renew());
    on("save", () => this.save());
    for (const id of ["outcome", "remark"]) {
      for (const kind of ["input", "change"]) {
        this.get(id).addEventListener(kind, (event) => {
          this.state[id] = event.target.value;
          this.keep();
        });
      }
    }
    this.get("clock").addEventListener("click", (event) => {
      if (!event.target.closest("button, input, select, label, table, a")) this.press();
    });
    this.page.addEventListener("keydown", (event) => {
      const inside = event.target.closest && event.target.closest("input, select, button, a");
      if (inside || event.ctrlKey || event.altKey || event.metaKey || event.repeat) return;
      if (event.key === "Tab" || event.key === "Shift") return;
      if (event.key === "Escape") return this.stop();
      event.preventDefault();
      this.press();
    });
  },

  // Any key, click or tap: strike the flame, or mark what comes next.
  press() {
    if (this.state.struck === null) this.start();
    else this.mark();
  },

  start() {
    if (this.state.struck !== null) return;
    this.state.struck = this.now() + 3000;
    this.keep();
    this.awake();
    this.sound(440);
    this.draw();
  },

  // Seconds since the flame was struck; below 0 while it counts down.
  seconds() {
    if (this.state.struck === null) return null;
    return ((this.state.ended ?? this.now()) - this.state.struck) / 1000;
  },

  next() {
    return this.data.cues.find((cue) => !(cue.name in this.state.marks)) || null;
  },

  mark() {
    const at = this.seconds();
    const cue = this.next();
    if (at === null || at < 0.2 || this.state.ended !== null || cue === null) return;
    this.state.marks[cue.name] = Math.round(at * 10) / 10;
    this.keep();
    this.say(`Marked: ${cue.words}, ${this.words(at)}.`);
    this.table();
    this.draw();
  },

  takeBack() {
    const names = this.data.cues.map((cue) => cue.name).filter((x) => x in this.state.marks);
    if (!names.length) return;
    delete this.state.marks[names[names.length - 1]];
    this.keep();
    this.say("Last mark taken back.");
    this.table();
    this.draw();
  },

  stop() {
    if (this.state.struck === null || this.state.ended !== null) return;
    this.state.ended = this.now();
    this.keep();
    this.say("Clock stopped. Say how it came out, then save the log.");
    this.draw();
  },

  renew() {
    this.state = { struck: null, marks: {}, ended: null, outcome: "", remark: "" };
    this.told = null;
    this.keep();
    this.table();
    this.draw();
  },

  marked() {
    return this.data.cues
      .filter((cue) => cue.name in this.state.marks)
      .map((cue) => [cue, this.state.marks[cue.name]]);
  },

  // When a cue is to come: with members the band that marks leave, else the one run.
  band(cue) {
    if (!cue.times.length) return { low: cue.at_s, middle: cue.at_s, high: cue.at_s, sure: true };
    const shares = Marks.weights(this.data.cues, this.marked(), this.data.law);
    const sure = Marks.effective(shares) >= this.data.law.least;
    return { ...Marks.band(cue.times, shares, this.data.law), sure };
  },

  words(seconds) {
    if (seconds === null) return "never";
    return seconds < 60 ? `${Math.round(seconds)} s` : `${5 * Math.round(seconds / 5)} s`;
  },

  span(band) {
    if (band.low === null) return "likely never";
    const low = this.words(band.low);
    const high = this.words(band.high);
    return low === high ? `at ${low}` : `${low} to ${high}`;
  },

  draw() {
    const at = this.seconds();
    const running = at !== null && this.state.ended === null;
    this.get("start").hidden = at !== null;
    this.get("seen").hidden = !running || this.next() === null;
    this.get("back").hidden = !Object.keys(this.state.marks).length;
    this.get("stop").hidden = !running;
    this.get("after").hidden = at === null || running;
    for (const id of ["outcome", "remark"]) {
      if (this.page.activeElement !== this.get(id)) this.get(id).value = this.state[id];
    }
    this.get("count").textContent = `${Math.floor(at ?? 0)}`;
    const cue = this.next();
    let step = "Press any key, click or tap: three counts, then strike the flame.";
    if (at !== null && at < 0) step = "Strike the flame at 0.";
    else if (cue !== null && at !== null) step = `Look for: ${cue.words}`;
    else if (at !== null) step = `Flame away ${this.data.away_s} s after the ring. Hold still.`;
    this.get("step").textContent = step;
    this.strip(cue, at);
    if (step !== this.told && at !== null) {
      this.told = step;
      this.say(step);
      if (at >= 0) this.alert();
    }
  },

  // The strip to the next cue: how far it is, its band, and whether the plan still holds.
  strip(cue, at) {
    const bar = this.get("bar");
    const when = this.get("when");
    if (cue === null || at === null) {
      bar.style.width = "0";
      this.get("reach").style.width = "0";
      when.textContent = cue === null ? "" : `Then ${cue.words}, ${this.span(this.band(cue))}.`;
      return;
    }
    const band = this.band(cue);
    const end = Math.max(band.high ?? (band.low ?? cue.at_s) * 1.6, 1) * 1.05;
    const share = (t) => `${Math.max(0, Math.min(1, t / end)) * 100}%`;
    bar.style.width = share(Math.max(at, 0));
    const low = Math.min(1, (band.low ?? end) / end);
    const high = Math.min(1, (band.high ?? end) / end);
    this.get("reach").style.left = `${low * 100}%`;
    this.get("reach").style.width = `${Math.max(high - low, 0.006) * 100}%`;
    if (!band.sure) when.textContent = "Outside what was planned: go by eye.";
    else when.textContent = `To come: ${this.span(band)}.`;
  },

  table() {
    const body = this.get("marks");
    body.replaceChildren();
    for (const [cue, at] of this.marked()) {
      const row = body.insertRow();
      row.insertCell().textContent = cue.words;
      const input = this.page.createElement("input");
      input.type = "number";
      input.min = "0.2";
      input.step = "0.1";
      input.value = at;
      input.setAttribute("aria-label", `Seconds: ${cue.words}`);
      input.addEventListener("change", () => {
        const value = Number(input.value);
        if (value > 0) this.state.marks[cue.name] = value;
        else delete this.state.marks[cue.name];
        this.keep();
        this.draw();
      });
      row.insertCell().append(input, " s");
    }
  },

  say(words) {
    this.get("live").textContent = words;
  },

  // Sound and a slow change of the screen, each as it is wanted.
  alert() {
    if (this.get("sound").checked) this.sound(880);
    if (this.get("flash").checked) {
      this.page.body.classList.add("lit");
      setTimeout(() => this.page.body.classList.remove("lit"), 700);
    }
  },

  sound(pitch) {
    if (!this.get("sound").checked) return;
    try {
      const Audio = window.AudioContext || window.webkitAudioContext;
      this.audio = this.audio || new Audio();
      const tone = this.audio.createOscillator();
      tone.frequency.value = pitch;
      tone.connect(this.audio.destination);
      tone.start();
      tone.stop(this.audio.currentTime + 0.25);
    } catch (fault) {
      this.get("sound").checked = false;
    }
  },

  awake() {
    if (navigator.wakeLock) navigator.wakeLock.request("screen").catch(() => {});
  },

  log() {
    const { head, line } = this.data.log;
    const row = { ...line, outcome: this.state.outcome, remark: this.state.remark };
    row.date = new Date(this.state.struck ?? this.now()).toISOString().slice(0, 10);
    for (const [cue, at] of this.marked()) if (cue.log) row[cue.log] = String(at);
    const cell = (text) => (/[",\n\r]/.test(text) ? `"${text.replaceAll('"', '""')}"` : text);
    const cells = (names) => names.map((name) => cell(String(row[name] ?? ""))).join(",");
    return `${head.join(",")}\n${cells(head)}\n`;
  },

  save() {
    const link = this.page.createElement("a");
    link.href = URL.createObjectURL(new Blob([this.log()], { type: "text/csv" }));
    link.download = "log.csv";
    link.click();
    setTimeout(() => URL.revokeObjectURL(link.href), 1000);
  },
};
