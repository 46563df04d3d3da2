// The page for checking an examination: puts its parts together and says what is done.

import { act, address, follow, load } from "./net.js";
import { byId, clock, draw, fill, make } from "./dom.js";
import { KINDS, Said } from "./said.js";
import { Questions } from "./questions.js";
import { Player } from "./player.js";
import { Wave, placeWords } from "./wave.js";
import { Dialogs } from "./dialogs.js";
import { Keys } from "./keys.js";
import { lightUp } from "./light.js";
import { showNote } from "./note.js";

/** The page is not made anew more often than this while a recording is read (milliseconds). */
const REST_MS = 400;
/** Whoever waits longer is told why (milliseconds). */
const LATE_MS = 500;

let state = null;
let player = null;
let wave = null;
let loading = null;
let again = false;
let answered = null;

function tell(sentence) {
  const told = byId("told");
  told.textContent = sentence;
  clearTimeout(tell.timer);
  tell.timer = setTimeout(() => { told.textContent = ""; }, 6000);
}

/** Do something, show what came of it, and say it. */
async function doIt(what, body, said, done = () => {}) {
  const late = setTimeout(() => tell("It is being read again …"), LATE_MS);
  try {
    await act(what, body);
  } finally {
    clearTimeout(late);
  }
  done();
  await refresh();
  if (said) tell(said);
}

/** The same where nobody waits to show a fault. */
async function tryIt(what, body, said) {
  try {
    await doIt(what, body, said);
  } catch (problem) {
    tell(problem.message);
  }
}

const does = {
  hear: (utterance) => player?.stretch(utterance.start_s, utterance.end_s),
  hearWord: (word) => player?.stretch(word.start_s, word.end_s),
  correct: (id, text) => doIt("words", { utterance: id, text }, "Read again with the new words."),
  sort: (id, kind) => tryIt("sort", { utterance: id, kind }, `It is now: ${KINDS.find((one) => one.kind === kind).words}.`),
  change: (finding) => dialogs.change(finding),
  takeOut: (finding) => tryIt("take-out", { finding: finding.key }, `Taken out: ${finding.label}. z brings it back.`),
  question: (id) => questions.turnTo(id),
  chosen: (id) => wave?.setUtterances(marks(id)),
  async answer(id, words) {
    answered = id; // the focus goes on once it is no more open, and no later
    try {
      await doIt("answer", { question: id, words }, `Answered: ${words}.`);
    } finally {
      answered = null;
    }
  },
  go(id) {
    said.choose(id);
    byId(`said-${id}`)?.scrollIntoView({ block: "center" });
  },
};

const said = new Said(byId("utterances"), does);
const questions = new Questions(byId("question-list"), byId("questions-heading"), does);
const dialogs = new Dialogs({
  doIt,
  state: () => state,
  choices: (key) => load(`choices/${encodeURIComponent(key)}`),
});

const marks = (chosen = said.chosen) => state.utterances.map((one) => ({ ...one, chosen: one.id === chosen }));

/** Bring the examination as it is now; one request at a time, and the last one counts. */
function refresh() {
  if (loading) {
    again = true;
    return loading;
  }
  loading = (async () => {
    do {
      again = false;
      try {
        show(await load());
      } catch (problem) {
        tell(problem.message);
      }
      if (again && state?.reading) await new Promise((go) => setTimeout(go, REST_MS));
    } while (again);
  })().finally(() => { loading = null; });
  return loading;
}

function show(new_state) {
  state = new_state;
  byId("patient").textContent = state.patient;
  const status = byId("status");
  status.textContent = state.status_words;
  status.className = `status ${state.status}`;
  showSound();
  questions.show(state);
  showNote(state, does);
  const file = ({ name, purpose }) =>
    make("a", { class: "button", href: address(`output/${name}`), download: true, title: purpose }, name);
  fill(byId("files"), state.outputs.filter((one) => one.first).map(file));
  fill(byId("more-files"), state.outputs.filter((one) => !one.first).map((one) =>
    make("li", {}, file(one), make("span", {}, one.purpose))));
  fill(byId("silent"), state.silent.map((words) => make("li", {},
    make("button", { type: "button", disabled: state.closed, onclick: () => dialogs.add(`${words} `) }, words))));
  byId("silent-part").hidden = !state.silent.length;
  fill(byId("pictures"), state.pictures.map((picture) => draw(picture.drawing)));
  byId("pictures-part").hidden = !state.pictures.length;
  fill(byId("steps"), state.steps.map((step) => make("li", { class: step.undone ? "undone" : null }, step.sentence,
    step.undone ? " (undone)" : null)));
  byId("steps-part").hidden = !state.steps.length;
  for (const id of ["undo", "add", "sign", "whose"]) byId(id).disabled = state.closed;
  news(state);
  if (answered !== null && !state.questions.some((one) => one.id === answered)) {
    answered = null;
    if (state.questions.length) questions.focus();
    else byId("questions-heading").focus();
  }
  said.show(state); // in pieces; nobody waits for it
}

function showSound() {
  byId("recording").hidden = !state.sound;
  if (!state.sound) return;
  if (!player) {
    player = new Player(state.sound, byId("screen"));
    wave = new Wave(byId("wave"), byId("canvas"), byId("length"));
    player.listen((now, playing) => {
      wave.setNow(now);
      if (playing) wave.show(now);
      said.playing(now, playing);
      byId("clock").textContent = `${clock(now)} of ${clock(wave.seconds)}`;
      byId("play").querySelector("span").textContent = playing ? "Pause" : "Play";
      tellPlace(now);
    });
  }
  wave.setUtterances(marks());
}

function tellPlace(now) {
  const box = byId("wave");
  const whole = String(Math.floor(now));
  if (box.getAttribute("aria-valuenow") === whole) return;
  box.setAttribute("aria-valuenow", whole);
  box.setAttribute("aria-valuetext", placeWords(now, wave.seconds));
}

/** What is true beside the record: how far it is read, what goes wrong. */
function news(now) {
  const seconds = now.sound?.seconds ?? now.seconds;
  if (wave && seconds) {
    wave.setLength(seconds);
    byId("wave").setAttribute("aria-valuemax", String(Math.ceil(seconds)));
    byId("clock").textContent = `${clock(player.now)} of ${clock(seconds)}`;
  }
  const reading = byId("reading");
  const words = now.trouble || now.reading || dictation(now)
    || (state?.closed && state.held_by ? `“dictate ${state.held_by}” is writing.` : "");
  reading.textContent = words;
  reading.hidden = !words;
}

/** A dictation that goes on: whether it listens, and what it hears just now. */
function dictation(now) {
  if (now.listening === null) return "";
  if (!now.listening) return "The dictation does not listen now.";
  return now.words ? `Heard: “${now.words} …”` : "The dictation listens.";
}

byId("play").addEventListener("click", () => player?.toggle());
byId("speed").addEventListener("change", (event) => { player.media.playbackRate = Number(event.target.value); });
byId("closer").addEventListener("click", () => wave?.zoom(-1));
byId("wider").addEventListener("click", () => wave?.zoom(1));
byId("wave").addEventListener("click", (event) => {
  const second = wave.secondAt(event.clientX);
  player.seek(second);
  const one = state.utterances.find((u) => u.start_s !== null && u.start_s <= second && second <= u.end_s);
  if (one) does.go(one.id);
});
byId("wave").addEventListener("keydown", (event) => {
  const by = { ArrowLeft: -2, ArrowRight: 2, PageUp: -30, PageDown: 30 }[event.key];
  const to = { Home: 0, End: wave?.seconds }[event.key];
  if (by === undefined && to === undefined) return;
  event.preventDefault();
  event.stopPropagation();
  player.seek(to ?? player.now + by);
  wave.show(player.now);
});
byId("undo").addEventListener("click", () => tryIt("undo", {}, "Undone."));
byId("add").addEventListener("click", () => dialogs.add());
byId("whose").addEventListener("click", () => dialogs.patient());
byId("sign").addEventListener("click", () => dialogs.sign());

const chosen = () => state?.utterances.find((one) => one.id === said.chosen);
const finding = () => state?.findings.find((one) => one.key === said.finding);
const keys = new Keys([
  { keys: ["ArrowDown", "j"], shown: "↓ ↑", words: "next and previous utterance", strip: "utterance", run: () => said.move(1) },
  { keys: ["ArrowUp", "k"], run: () => said.move(-1) },
  { keys: ["ArrowRight"], shown: "→ ←", words: "along its words and findings", strip: "word, finding", run: () => said.along(1) },
  { keys: ["ArrowLeft"], run: () => said.along(-1) },
  { keys: [" "], shown: "space", words: "hear the utterance, or stop", strip: "hear", run: () => (player?.playing || !chosen() || chosen().start_s === null ? player?.toggle() : does.hear(chosen())) },
  { keys: ["p"], shown: "p", words: "play on from here, or stop", run: () => player?.toggle() },
  { keys: ["Enter"], shown: "enter", words: "correct the words of the utterance", strip: "correct", onRow: true, run: () => chosen() && !state.closed && said.correct(said.chosen) },
  { keys: KINDS.map(({ key }) => key), shown: "f t r", words: "it is a finding, talk with the patient, a remark", strip: "finding, talk, remark", run: (key) => chosen() && does.sort(said.chosen, KINDS.find((one) => one.key === key).kind) },
  { keys: ["c"], shown: "c", words: "change the chosen finding", strip: "change", run: () => finding() && does.change(finding()) },
  { keys: ["x"], shown: "x", words: "take the chosen finding out", strip: "take out", run: () => finding() && does.takeOut(finding()) },
  { keys: ["a"], shown: "a", words: "add a finding in words", run: () => !state.closed && dialogs.add() },
  { keys: ["q"], shown: "q", words: "go to the open question, and to the next", strip: "question", run: () => questions.next() },
  { keys: [], shown: "…", words: "in a question: the key beside each answer; digits are grades, r and l are sides", strip: null, run: () => {} },
  { keys: ["w"], shown: "w", words: "answer in your own words", run: () => byId("own-words")?.focus() },
  { keys: ["z"], shown: "z", words: "undo", run: () => tryIt("undo", {}, "Undone.") },
  { keys: ["y"], shown: "y", words: "do it again after all", run: () => tryIt("redo", {}, "Done again.") },
  { keys: ["o"], shown: "o", words: "go to the note", run: () => byId("note-heading").focus() },
  { keys: ["s"], shown: "s", words: "sign", run: () => !state.closed && dialogs.sign() },
  { keys: ["?"], shown: "?", words: "all keys", strip: "all keys", run: () => dialogs.keys() },
]);
keys.first = (key) => questions.press(key);
keys.show(byId("key-list"), byId("key-strip"), byId("keys-on"));
byId("keys-open").addEventListener("click", () => dialogs.keys());

lightUp(document.body);
refresh();
follow((change) => {
  news(change);
  if (!state || change.version !== state.version || change.sound !== Boolean(state.sound)) refresh();
}, (lost) => { if (lost) tell("The program does not answer. What was done is kept; start it again."); });
