// Plays the recordings that were chosen, each browser for itself: one playhead on the stretch axis for all curves.
// Knows the reel, the buttons and a clock; drawing is told to somebody else.

const SPEEDS = [0.25, 0.5, 1, 2, 4, 8, 16, 32];
const FIRST_SPEED = 4;
const STEP_PCT = 0.5;

export function countTo(xs, at) {
  let [low, high] = [0, xs.length];
  while (low < high) {
    const middle = (low + high) >> 1;
    if (xs[middle] <= at) low = middle + 1;
    else high = middle;
  }
  return low;
}

export class Player {
  constructor(words, changed) {
    this.words = words;
    this.changed = changed;
    this.reel = null;
    this.at = 0;
    this.playing = false;
    this.beaten = 0;
    this.buttons();
  }

  buttons() {
    const on = (id, does) => document.getElementById(id).addEventListener("click", does);
    on("play", () => this.play());
    on("to-start", () => this.go(0));
    on("back", () => this.go(this.at - STEP_PCT));
    on("on", () => this.go(this.at + STEP_PCT));
    on("to-break", () => this.toBreak());
    const labels = { "to-start": "start", back: "back", on: "on", place: "place" };
    for (const [id, word] of Object.entries(labels)) {
      document.getElementById(id).setAttribute("aria-label", this.words[word]);
    }
    document.getElementById("to-break").textContent = this.words.to_break;
    document.getElementById("speed-label").textContent = this.words.speed;
    this.speed = document.getElementById("speed");
    for (const speed of SPEEDS) this.speed.add(new Option(`${speed} ×`, speed, false, speed === FIRST_SPEED));
    this.place = document.getElementById("place");
    this.place.addEventListener("input", () => this.go((this.place.value / 1000) * this.ends));
    this.say();
  }

  show(reel) {
    this.reel = reel;
    this.playing = false;
    this.go(0);
  }

  get ends() {
    return Math.max(0, ...(this.reel ? this.reel.series.map((one) => one.x.at(-1) ?? 0) : []));
  }

  go(at) {
    this.playing = false;
    this.move(at);
  }

  move(at) {
    this.at = Math.min(Math.max(at, 0), this.ends);
    if (this.at >= this.ends) this.playing = false;
    this.place.value = this.ends ? Math.round((1000 * this.at) / this.ends) : 0;
    this.say();
    this.changed();
  }

  say() {
    document.getElementById("play").textContent = this.playing ? this.words.pause : this.words.play;
  }

  play() {
    if (!this.reel) return;
    if (this.at >= this.ends) this.at = 0;
    this.playing = !this.playing;
    this.say();
    if (this.playing) {
      this.beaten = performance.now();
      requestAnimationFrame((now) => this.beat(now));
    }
  }

  beat(now) {
    if (!this.playing) return;
    const seconds = Math.max(now - this.beaten, 0) / 1000;
    this.beaten = Math.max(now, this.beaten);
    this.move(this.at + seconds * Number(this.speed.value) * this.reel.rate);
    if (this.playing) requestAnimationFrame((later) => this.beat(later));
  }

  toBreak() {
    if (!this.reel) return;
    const ends = this.reel.series.map((one) => one.x.at(-1) ?? 0).sort((a, b) => a - b);
    this.go(ends.find((end) => end > this.at) ?? ends[0]);
  }
}
