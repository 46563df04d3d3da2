// Open questions: one at a time, answered by one key, one click or words of one's own.

import { fill, make } from "./dom.js";

/** Answers that every question takes, with their keys. */
export const OTHERS = [
  { key: "n", words: "not tested" },
  { key: "g", words: "could not get it" },
  { key: "u", words: "not sure" },
  { key: "e", words: "neither" },
];

export class Questions {
  constructor(place, heading, does) {
    Object.assign(this, { place, heading, does });
    this.first = null;
    this.sign = "";
  }

  show(state) {
    this.state = state;
    const open = state.questions;
    if (!open.some((one) => one.id === this.first)) this.first = open[0]?.id ?? null;
    const sign = JSON.stringify([open, this.first, state.closed]);
    if (sign === this.sign) return;
    this.sign = sign;
    this.heading.textContent = open.length ? `To be settled (${open.length})` : "To be settled";
    if (!open.length) {
      fill(this.place, make("p", { class: "none" }, state.reading ? "No question so far." : "Nothing is open."));
      return;
    }
    const held = this.place.contains(document.activeElement);
    const typed = this.place.querySelector("input")?.value;
    const typedOf = this.place.querySelector(".question")?.dataset.id;
    const current = open.find((one) => one.id === this.first);
    fill(this.place, this.card(current, open.indexOf(current) + 1, open.length),
      make("ul", { class: "more-questions", "aria-label": "Further questions" },
        open.filter((one) => one !== current).map((one) => make("li", {},
          make("button", { type: "button", onclick: () => this.turnTo(one.id) }, `? ${one.prompt}`)))));
    if (typed && typedOf === current.id) this.place.querySelector("input").value = typed;
    if (held) this.focus();
  }

  card(question, number, whole) {
    const fault = make("p", { class: "fault", role: "alert" });
    const answer = async (words) => {
      fault.textContent = "";
      try {
        await this.does.answer(question.id, words);
      } catch (problem) {
        fault.textContent = problem.message;
      }
    };
    this.answer = answer;
    this.current = question;
    const own = make("input", { "aria-label": "Answer in your own words", autocomplete: "off",
      placeholder: "in your own words", spellcheck: "false", id: "own-words" });
    own.addEventListener("keydown", (event) => {
      if (event.key === "Enter" && own.value.trim()) { event.preventDefault(); answer(own.value.trim()); }
    });
    return make("article", { class: "question", "data-id": question.id, "aria-labelledby": "question-prompt" },
      make("p", { class: "count" }, `Question ${number} of ${whole}`),
      make("h3", { id: "question-prompt", tabindex: "-1" }, question.prompt),
      question.quoted.length === 0 ? null : make("p", { class: "about" }, "Said: ",
        question.quoted.map((one) => make("button", { type: "button", onclick: () => this.does.go(one.utterance) }, `“${one.text}”`))),
      make("div", { class: "choices", role: "group", "aria-labelledby": "question-prompt" },
        question.choices.map((choice, i) => make("button", { type: "button", onclick: () => answer(choice.words) },
          i < 9 ? make("kbd", {}, String(i + 1)) : null, ` ${choice.label}`))),
      make("div", { class: "choices", role: "group", "aria-label": "Other answers" },
        question.others.map((other) => make("button", { type: "button", onclick: () => answer(other) },
          make("kbd", {}, OTHERS.find((one) => one.words === other)?.key ?? "·"), ` ${other}`))),
      make("div", { class: "own" }, own,
        make("button", { type: "button", onclick: () => own.value.trim() && answer(own.value.trim()) }, "Answer")),
      fault);
  }

  turnTo(id) {
    this.first = id;
    this.show(this.state);
    this.focus();
  }

  /** The next open question, after the one that is shown. */
  next() {
    const open = this.state.questions;
    if (!open.length) return;
    const at = open.findIndex((one) => one.id === this.first);
    const inside = this.place.contains(document.activeElement);
    this.turnTo(open[inside ? (at + 1) % open.length : Math.max(0, at)].id);
  }

  focus() {
    this.place.querySelector("h3")?.focus();
    this.place.querySelector(".question")?.scrollIntoView({ block: "center" });
  }

  /** The choice with this number, if a question is shown. */
  choose(number) {
    const choice = this.current && this.state.questions.length ? this.current.choices[number - 1] : null;
    if (choice) this.answer(choice.words);
    return Boolean(choice);
  }

  /** One of the answers that every question takes. */
  other(words) {
    if (!this.state.questions.length || !this.current.others.includes(words)) return false;
    this.answer(words);
    return true;
  }
}
