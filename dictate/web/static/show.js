// The view for the class: what is found just now in large letters, and the findings so far.

import { follow, load } from "./net.js";
import { byId, clock, fill, make } from "./dom.js";
import { Player } from "./player.js";

/** A caption stays at least so long (seconds). */
const READABLE_S = 4;

let state = null;
let player = null;
let place = null; // second of a playing recording, null where the latest counts
let shown = "";

async function refresh() {
  try {
    state = await load();
  } catch (problem) {
    byId("spoken").textContent = problem.message;
    return;
  }
  byId("status").textContent = state.listening ? "listening" : state.status_words;
  if (state.sound && !player) {
    player = new Player(state.sound, byId("screen"));
    byId("show-play").hidden = false;
    player.listen((now, playing) => { if (playing || place !== null) at(now, playing); });
    player.channel.addEventListener("message", ({ data }) => { if (!player.playing) at(data.now, data.playing); });
  }
  if (state.sound) byId("place").max = String(state.sound.seconds);
  show();
}

/** The recording is at this second, here or in the page for checking. */
function at(now, playing) {
  place = now;
  byId("clock").textContent = clock(now);
  if (document.activeElement !== byId("place")) byId("place").value = String(now);
  byId("play").querySelector("span").textContent = player.playing ? "Pause" : "Play";
  byId("play").dataset.playing = String(playing);
  show();
}

/** What counts as found and asked now. */
function soFar() {
  if (place === null) return { findings: state.findings, questions: state.questions, utterances: state.utterances };
  const ids = new Map(state.utterances.map((one) => [one.id, one]));
  const begun = (one) => one.start_s === null || one.start_s <= place;
  const of = (id) => ids.get(id);
  return {
    findings: state.findings.filter((one) => of(one.utterance) && begun(of(one.utterance))),
    questions: state.questions.filter((one) => one.places.every(({ utterance }) => of(utterance) && begun(of(utterance)))),
    utterances: state.utterances.filter((one) => one.start_s !== null && begun(one)),
  };
}

function show() {
  const { findings, questions, utterances } = soFar();
  const last = utterances[utterances.length - 1];
  const recent = (one) => last && (place === null || place - (last.end_s ?? 0) < READABLE_S) && one === last.id;
  const fresh = findings.filter((one) => recent(one.utterance));
  const asked = questions.filter((one) => one.places.some(({ utterance }) => recent(utterance)));
  const sign = JSON.stringify([last?.id, last?.text, fresh, asked, findings.length, questions.length]);
  if (sign === shown) return;
  shown = sign;
  const latest = fresh[fresh.length - 1] ?? findings[findings.length - 1];
  byId("section").textContent = latest ? latest.area : "Examination";
  if (last) byId("spoken").textContent = `“${last.text}”`;
  fill(byId("caption"),
    fresh.map((one) => make("p", {}, one.mark ? `${one.label} (${one.mark})` : one.label)),
    asked.map((one) => make("p", { class: "ask" }, `To be settled: ${one.prompt}`)));
  showList(findings, questions, fresh);
}

function showList(findings, questions, fresh) {
  const areas = new Map();
  for (const one of findings) areas.set(one.area, [...(areas.get(one.area) ?? []), one]);
  const list = byId("so-far");
  fill(list, [...areas].flatMap(([area, found]) => [
    make("h3", {}, area),
    found.map((one) => make("p", { class: [one.normal === false ? "abnormal" : "", fresh.includes(one) ? "newest" : ""].join(" ").trim() || null }, one.label)),
  ].flat()), questions.length ? make("p", { class: "ask" }, `${questions.length} to be settled`) : null);
  const newest = list.querySelector(".newest");
  newest?.scrollIntoView({ block: "nearest" });
}

byId("play").addEventListener("click", () => player?.toggle());
byId("place").addEventListener("input", (event) => { player.seek(Number(event.target.value)); at(player.now, player.playing); });

refresh();
follow((news) => {
  if (news.words) byId("spoken").textContent = `“${news.words} …”`;
  if (news.listening !== null) byId("status").textContent = news.listening ? "listening" : "not listening";
  if (!state || news.version !== state.version || news.sound !== Boolean(state.sound) || news.seconds !== state.sound?.seconds) refresh();
}, (lost) => { if (lost) byId("status").textContent = "the program does not answer"; });
