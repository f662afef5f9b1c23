// The curve on the page: axes with round ticks, the guideline, regions, curves, spreads and breaks.
// Knows values and an SVG element; nothing of rigs, streams or playing. All text is set as text.

const NS = "http://www.w3.org/2000/svg";
const MARGIN = { left: 64, right: 24, top: 34, bottom: 62 };
const TICK_ROOM = 90;

export function roundStep(span, most) {
  if (!(span > 0) || !Number.isFinite(span)) return 1;
  const raw = span / Math.max(most, 1);
  const power = 10 ** Math.floor(Math.log10(raw));
  return [1, 2, 5, 10].map((step) => step * power).find((step) => step >= raw * (1 - 1e-9));
}

export function roundAbove(value) {
  const step = roundStep(value, 5);
  return value > 0 ? Math.ceil(value / step - 1e-9) * step : 1;
}

export function fill(sentence, values) {
  return sentence.replace(/\{(\w+)\}/g, (whole, name) => (name in values ? values[name] : whole));
}

export class Plot {
  constructor(svg, words) {
    this.svg = svg;
    this.words = words;
  }

  // picture: {reach: [x, y], guideline, lines: [{name, x, y, low, high, count}], bands: [[name, from, to]], pins}
  draw(picture) {
    const box = this.svg.getBoundingClientRect();
    this.width = Math.max(box.width, 200);
    this.height = Math.max(box.height, 160);
    this.svg.setAttribute("viewBox", `0 0 ${this.width} ${this.height}`);
    this.reach = [
      roundAbove(Math.max(picture.reach[0] * 1.04, picture.guideline * 1.2, 30)),
      roundAbove(Math.max(picture.reach[1] * 1.04, 0.5)),
    ];
    const parts = [...this.axes(), ...this.guide(picture.guideline), ...this.bands(picture.bands)];
    picture.lines.forEach((line, number) => parts.push(...this.curve(line, number, picture.lines.length > 1)));
    picture.pins.forEach((pin) => parts.push(...this.pin(pin)));
    this.svg.replaceChildren(...parts);
    this.svg.dataset.points = picture.lines.reduce((sum, line) => sum + line.count, 0);
  }

  px(x) {
    return MARGIN.left + (x / this.reach[0]) * (this.width - MARGIN.left - MARGIN.right);
  }

  py(y) {
    return this.height - MARGIN.bottom - (y / this.reach[1]) * (this.height - MARGIN.top - MARGIN.bottom);
  }

  make(tag, cls, attributes, text) {
    const made = document.createElementNS(NS, tag);
    made.setAttribute("class", cls);
    for (const [name, value] of Object.entries(attributes)) made.setAttribute(name, value);
    if (text !== undefined) made.textContent = text;
    return made;
  }

  line(cls, x1, y1, x2, y2) {
    return this.make("line", cls, { x1, y1, x2, y2 });
  }

  ticks(end, room) {
    const step = roundStep(end, Math.floor(room / TICK_ROOM));
    const places = Math.max(0, -Math.floor(Math.log10(step) + 1e-9));
    const count = Math.floor(end / step + 1e-9);
    return Array.from({ length: count + 1 }, (_, n) => [n * step, (n * step).toFixed(places)]);
  }

  axes() {
    const [right, top] = [this.px(this.reach[0]), this.py(this.reach[1])];
    const [left, foot] = [this.px(0), this.py(0)];
    const parts = [this.line("axis", left, foot, right, foot), this.line("axis", left, foot, left, top)];
    for (const [x, text] of this.ticks(this.reach[0], right - left)) {
      parts.push(this.line("axis", this.px(x), foot, this.px(x), foot + 6));
      parts.push(this.make("text", "tick", { x: this.px(x), y: foot + 22, "text-anchor": "middle" }, text));
    }
    for (const [y, text] of this.ticks(this.reach[1], (foot - top) * 1.6)) {
      parts.push(this.line("grid", left, this.py(y), right, this.py(y)));
      parts.push(this.make("text", "tick", { x: left - 10, y: this.py(y) + 5, "text-anchor": "end" }, text));
    }
    const below = { x: right, y: this.height - 4, "text-anchor": "end" };
    parts.push(this.make("text", "title", below, this.words.axis_x));
    parts.push(this.make("text", "title", { x: 4, y: 16 }, this.words.axis_y));
    return parts;
  }

  guide(percent) {
    const x = this.px(percent);
    const text = fill(this.words.guideline, { percent: Number(percent.toFixed(2)) });
    return [
      this.line("guide", x, this.py(0), x, MARGIN.top - 6),
      this.make("text", "guide-label", { x: x + 6, y: 18 }, text),
    ];
  }

  bands(bands) {
    const parts = [];
    for (const [name, from, to] of bands) {
      if (from > 0) parts.push(this.line("boundary", this.px(from), this.py(0), this.px(from), MARGIN.top));
      const middle = this.px((from + Math.min(to, this.reach[0])) / 2);
      parts.push(this.make("text", "band", { x: middle, y: this.py(0) + 42, "text-anchor": "middle" }, name));
    }
    return parts;
  }

  path(xs, ys, count, first = "M") {
    let d = "";
    for (let i = 0; i < count; i += 1) d += `${i ? "L" : first}${this.px(xs[i]).toFixed(1)} ${this.py(ys[i]).toFixed(1)}`;
    return d;
  }

  curve(line, number, named) {
    const { x, y, count } = line;
    if (!count) return [];
    const parts = [];
    const look = number % 4;
    if (line.low && line.low.length) {
      const there = this.path(x, line.high, count);
      const back = this.path(x.slice(0, count).reverse(), line.low.slice(0, count).reverse(), count, "L");
      parts.push(this.make("path", `ribbon ribbon-${look}`, { d: `${there}${back}Z` }));
    }
    parts.push(this.make("path", `curve curve-${look}`, { d: this.path(x, y, count) }));
    if (named) {
      const at = { x: this.px(x[count - 1]) - 8, y: this.py(y[count - 1]) - 12, "text-anchor": "end" };
      parts.push(this.make("text", "name", at, line.name));
    }
    return parts;
  }

  pin({ x, y, text }) {
    const [cx, cy, r] = [this.px(x), this.py(y), 9];
    const end = cx > this.width * 0.7;
    const at = { x: end ? cx - 14 : cx + 14, y: cy + 24, "text-anchor": end ? "end" : "start" };
    return [
      this.line("pin", cx - r, cy - r, cx + r, cy + r),
      this.line("pin", cx - r, cy + r, cx + r, cy - r),
      this.make("text", "pin-label", at, text),
    ];
  }
}
