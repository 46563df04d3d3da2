// Plays the recording: all of it, or the stretch of a word or a statement.

import { address } from "./net.js";
import { make } from "./dom.js";

/** A little before a word, so that its first sound is not cut off (seconds). */
const BEFORE_S = 0.08;

export class Player {
  /** `sound` as the server tells it; `place` is where a video is shown. */
  constructor(sound, place) {
    this.listeners = [];
    this.until = null;
    this.media = make(sound.video ? "video" : "audio", { src: address("sound"), preload: "metadata" });
    if (sound.video) {
      this.media.append(make("track", { kind: "captions", label: "Findings", srclang: "en",
        src: address("output/captions"), default: true }));
    }
    place.replaceChildren(this.media);
    for (const name of ["play", "pause", "seeked", "timeupdate", "ended"]) {
      this.media.addEventListener(name, () => this.tell());
    }
    this.channel = new BroadcastChannel(`dictate ${location.pathname.split("/")[1]}`);
    this.tick = this.tick.bind(this);
  }

  get now() { return this.media.currentTime; }
  get playing() { return !this.media.paused; }

  /** Be told of every move. */
  listen(listener) { this.listeners.push(listener); }

  tell() {
    for (const listener of this.listeners) listener(this.now, this.playing);
    this.channel.postMessage({ now: this.now, playing: this.playing });
  }

  seek(second) {
    this.until = null;
    this.media.currentTime = Math.max(0, second);
  }

  toggle() {
    this.until = null;
    if (this.playing) this.media.pause();
    else this.start();
  }

  /** Play one stretch, and stop at its end. */
  stretch(start, end) {
    this.media.currentTime = Math.max(0, start - BEFORE_S);
    this.until = end + BEFORE_S;
    this.start();
  }

  start() {
    this.media.play().catch(() => { /* stopped before it began */ });
    requestAnimationFrame(this.tick);
  }

  tick() {
    if (!this.playing) return;
    if (this.until !== null && this.now >= this.until) {
      this.media.pause();
      this.until = null;
    }
    for (const listener of this.listeners) listener(this.now, this.playing);
    requestAnimationFrame(this.tick);
  }
}
