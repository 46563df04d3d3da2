// The note as it is now; each sentence leads to the words that it came from.

import { byId, fill, make } from "./dom.js";

export function showNote(state, does) {
  const where = new Map(state.findings.map((one) => [one.key, one.utterance]));
  const go = (keys) => {
    const id = keys.map((key) => where.get(key)).find(Boolean);
    if (id) does.go(id);
  };
  const sentence = ({ text, keys }) => (keys.length
    ? make("span", { class: "sentence", "data-keys": keys.join(" "), role: "button", tabindex: "0",
      onclick: () => go(keys), onkeydown: (event) => { if (event.key === "Enter") { event.stopPropagation(); go(keys); } } }, text)
    : make("span", {}, text));
  const part = (one) => [
    one.heading ? make("h3", {}, one.heading) : null,
    one.paragraphs.map((row) => make("p", {}, row.flatMap((each) => [sentence(each), " "]))),
    one.items.length ? make("ul", {}, one.items.map((item) => make("li", {}, item))) : null,
  ].flat();
  fill(byId("note"), make("p", { class: "caution" }, state.note.caution), state.note.parts.flatMap(part));
}
