// Draws the recording: what is in sight and no more, from tiles of peaks, with the utterances on it.

import { address } from "./net.js";
import { clock } from "./dom.js";

const COLUMN_S = 0.01; // one column of level 0
const TILE = 1024;
const LEVELS = 10;
const KEPT = 96; // tiles that are kept
const WAVE = 74; // height of the curve; below it the utterances
const MARKS = 26;
const STEPS_S = [1, 2, 5, 10, 15, 30, 60, 120, 300, 600, 1800]; // between two times that are written

export class Wave {
  constructor(box, canvas, length) {
    Object.assign(this, { box, canvas, length });
    this.level = 1;
    this.seconds = 0;
    this.now = 0;
    this.utterances = [];
    this.tiles = new Map();
    this.asked = false;
    box.addEventListener("scroll", () => this.draw(), { passive: true });
    new ResizeObserver(() => this.measure()).observe(box);
    const dark = matchMedia("(prefers-color-scheme: dark)");
    dark.addEventListener("change", () => { this.colours = null; this.draw(); });
    this.measure();
  }

  get columnS() { return COLUMN_S * 2 ** this.level; }
  get second() { return this.box.scrollLeft * this.columnS; }

  /** The recording is so long; its end may still be growing. */
  setLength(seconds) {
    if (seconds === this.seconds) return;
    this.seconds = seconds;
    this.tiles.clear();
    this.stretch();
  }

  /** Utterances with their seconds, in order. */
  setUtterances(utterances) {
    this.utterances = utterances.filter((one) => one.start_s !== null);
    this.draw();
  }

  /** Show less (-1) or more (1) of the recording at once, around where it stands. */
  zoom(by) {
    const middle = this.second + (this.width / 2) * this.columnS;
    this.level = Math.min(LEVELS - 1, Math.max(0, this.level + by));
    this.stretch();
    this.box.scrollLeft = middle / this.columnS - this.width / 2;
    this.draw();
  }

  /** Bring a second into sight, if it is not. */
  show(second) {
    const at = second / this.columnS;
    if (at < this.box.scrollLeft + 40 || at > this.box.scrollLeft + this.width - 80) {
      this.box.scrollLeft = at - this.width / 4;
    }
  }

  setNow(second) {
    this.now = second;
    this.draw();
  }

  /** The second under a place of the pointer. */
  secondAt(clientX) {
    return this.second + (clientX - this.box.getBoundingClientRect().left) * this.columnS;
  }

  stretch() {
    this.length.style.width = `${Math.ceil(this.seconds / this.columnS)}px`;
    this.draw();
  }

  measure() {
    this.width = this.box.clientWidth;
    this.scale = window.devicePixelRatio || 1;
    this.canvas.width = Math.round(this.width * this.scale);
    this.canvas.height = Math.round((WAVE + MARKS + 4) * this.scale);
    this.draw();
  }

  draw() {
    if (this.asked) return;
    this.asked = true;
    requestAnimationFrame(() => { this.asked = false; this.paint(); });
  }

  paint() {
    this.colours ??= this.readColours();
    const pen = this.canvas.getContext("2d");
    pen.setTransform(this.scale, 0, 0, this.scale, 0, 0);
    pen.clearRect(0, 0, this.width, WAVE + MARKS + 4);
    const first = Math.floor(this.box.scrollLeft);
    this.paintCurve(pen, first);
    this.paintTimes(pen, first);
    this.paintMarks(pen, first);
    const x = this.now / this.columnS - first;
    if (x >= -1 && x <= this.width) {
      pen.fillStyle = this.colours.play;
      pen.fillRect(Math.round(x) - 1, 0, 2, WAVE + MARKS);
    }
  }

  paintCurve(pen, first) {
    pen.fillStyle = this.colours.wave;
    pen.beginPath();
    const middle = WAVE / 2;
    let tile = null;
    let number = -1;
    for (let x = 0; x < this.width; x += 1) {
      const column = first + x;
      if (Math.floor(column / TILE) !== number) {
        number = Math.floor(column / TILE);
        tile = this.tile(this.level, number);
      }
      if (tile === null) continue;
      const at = (column % TILE) * 2;
      if (at >= tile.length) continue;
      const top = middle - (tile[at + 1] / 128) * middle;
      const bottom = middle - (tile[at] / 128) * middle;
      pen.rect(x, top, 1, Math.max(1, bottom - top));
    }
    pen.fill();
  }

  paintTimes(pen, first) {
    const step = STEPS_S.find((one) => one / this.columnS > 90) ?? STEPS_S[STEPS_S.length - 1];
    pen.font = "11px system-ui, sans-serif";
    pen.textBaseline = "top";
    pen.fillStyle = this.colours.soft;
    const from = Math.floor((first * this.columnS) / step) * step;
    const to = (first + this.width) * this.columnS;
    for (let second = from; second < to && second <= this.seconds; second += step) {
      const x = Math.round(second / this.columnS - first);
      pen.fillRect(x, 0, 1, 6);
      pen.fillText(clock(second), x + 4, 0);
    }
  }

  paintMarks(pen, first) {
    const from = first * this.columnS;
    const to = from + this.width * this.columnS;
    pen.font = "12px system-ui, sans-serif";
    pen.textBaseline = "middle";
    for (let i = this.firstMark(from); i < this.utterances.length; i += 1) {
      const one = this.utterances[i];
      if (one.start_s > to) break;
      const x = one.start_s / this.columnS - first;
      const width = Math.max(2, (one.end_s - one.start_s) / this.columnS - 1);
      pen.fillStyle = this.colours[one.group] ?? this.colours.remark;
      pen.globalAlpha = one.chosen ? 0.45 : 0.2;
      pen.fillRect(x, WAVE, width, MARKS);
      pen.globalAlpha = 1;
      pen.fillRect(x, WAVE, 2, MARKS);
      if (width > 26) {
        pen.save();
        pen.beginPath();
        pen.rect(x + 4, WAVE, width - 6, MARKS);
        pen.clip();
        pen.fillStyle = this.colours.ink;
        pen.fillText(one.text, x + 6, WAVE + MARKS / 2);
        pen.restore();
      }
    }
  }

  /** The first utterance that may reach into sight. */
  firstMark(second) {
    let low = 0;
    let high = this.utterances.length;
    while (low < high) {
      const middle = (low + high) >> 1;
      if (this.utterances[middle].end_s < second) low = middle + 1;
      else high = middle;
    }
    return low;
  }

  /** A tile, or null while it is on its way. */
  tile(level, number) {
    const key = `${level}/${number}`;
    const kept = this.tiles.get(key);
    if (kept !== undefined) {
      this.tiles.delete(key);
      this.tiles.set(key, kept);
      return kept;
    }
    this.tiles.set(key, null);
    if (this.tiles.size > KEPT) this.tiles.delete(this.tiles.keys().next().value);
    fetch(address(`peaks/${key}`)).then(async (answer) => {
      if (!answer.ok) return;
      this.tiles.set(key, new Int8Array(await answer.arrayBuffer()));
      this.draw();
    }).catch(() => this.tiles.delete(key));
    return null;
  }

  readColours() {
    const style = getComputedStyle(document.documentElement);
    const names = ["wave", "soft", "play", "ink", "finding", "talk", "remark", "command"];
    return Object.fromEntries(names.map((name) => [name, style.getPropertyValue(`--${name}`).trim()]));
  }
}

/** What a screen reader says of a place. */
export const placeWords = (now, whole) => `${clock(now)} of ${clock(whole)}`;
