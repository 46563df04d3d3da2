// Open questions: one at a time, answered by one key, one click or words of one's own.

import { fill, make } from "./dom.js";

/** Keys of the page that count while a question has the focus as well. */
const WITH_A_QUESTION = "jkpqwz";

/** Further questions that are listed at once. */
const LISTED = 12;

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
    const others = [...open.slice(open.indexOf(current) + 1), ...open.slice(0, open.indexOf(current))];
    const further = others.slice(0, LISTED).map((one) => make("li", {},
      make("button", { type: "button", onclick: () => this.turnTo(one.id) }, `? ${one.prompt}`)));
    const more = others.length - further.length;
    fill(this.place, this.card(current, open.indexOf(current) + 1, open.length),
      make("ul", { class: "more-questions", "aria-label": "Further questions" }, further),
      more > 0 ? make("p", { class: "none" }, `and ${more} more`) : null);
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
    this.own = own;
    own.addEventListener("keydown", (event) => {
      if (event.key === "Enter" && own.value.trim()) { event.preventDefault(); answer(own.value.trim()); }
    });
    return make("article", { class: "question", "data-id": question.id, "aria-labelledby": "question-prompt" },
      make("p", { class: "count" }, `Question ${number} of ${whole}`),
      make("h3", { id: "question-prompt", tabindex: "-1" }, question.prompt),
      question.quoted.length === 0 ? null : make("p", { class: "about" }, "Said: ",
        question.quoted.map((one) => make("button", { type: "button", onclick: () => this.does.go(one.utterance) }, `“${one.text}”`))),
      make("div", { class: "choices", role: "group", "aria-labelledby": "question-prompt" },
        question.choices.map((choice) => this.button(choice, answer))),
      make("div", { class: "choices", role: "group", "aria-label": "Other answers" },
        question.others.map((other) => this.button(other, answer))),
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

  button(one, answer) {
    return make("button", { type: "button", onclick: () => answer(one.words), "aria-keyshortcuts": one.key || null },
      one.key ? make("kbd", {}, one.key) : null, ` ${one.label}`);
  }

  /** Whether the question has the focus, so that its keys count. */
  get held() {
    return this.place.contains(document.activeElement);
  }

  /** Answer by a key while a question has the focus; true where the key is used up. */
  press(key) {
    if (!this.held || !this.state.questions.length) return false;
    const one = [...this.current.choices, ...this.current.others].find((each) => each.key === key);
    if (one) { this.answer(one.words); return true; }
    if (/^[0-9]$/.test(key)) { this.own.focus(); return false; } // a grade, which goes on being typed
    return /^[a-z]$/.test(key) && !WITH_A_QUESTION.includes(key); // what means an utterance means none here
  }
}
