// The list of what was said: words to hear and to correct, kinds to change, findings beside them.

import { clock, make, pause } from "./dom.js";

/** Work between two pauses (milliseconds): the page stays smooth. */
const AT_ONCE_MS = 8;
export const KINDS = [
  { group: "finding", kind: "finding", key: "f", words: "finding" },
  { group: "talk", kind: "to_patient", key: "t", words: "talk" },
  { group: "remark", kind: "remark", key: "r", words: "remark" },
];

export class Said {
  /** `does`: what is done with an utterance or a finding (see review.js). */
  constructor(list, does) {
    Object.assign(this, { list, does });
    this.rows = new Map();
    this.chosen = null;
    this.finding = null;
    this.correcting = null;
    this.turn = 0;
    list.addEventListener("click", (event) => this.click(event));
    list.addEventListener("focusin", (event) => {
      const row = event.target.closest(".utterance");
      if (row && row.dataset.id !== this.chosen) this.choose(row.dataset.id, null, false);
    });
  }

  /** Show the examination; rows that are the same stay as they are. */
  async show(state) {
    this.state = state;
    const turn = ++this.turn;
    const found = groupBy(state.findings, (one) => one.utterance);
    const asked = groupBy(state.questions, (one) => one.places[0]?.utterance);
    let began = performance.now();
    let before = null;
    const kept = new Set();
    for (const utterance of state.utterances) {
      if (performance.now() - began > AT_ONCE_MS) {
        await pause();
        if (turn !== this.turn) return;
        began = performance.now();
      }
      kept.add(utterance.id);
      const row = this.row(utterance, found.get(utterance.id) ?? [], asked.get(utterance.id) ?? []);
      const next = before ? before.nextSibling : this.list.firstChild;
      if (next !== row) this.list.insertBefore(row, next);
      before = row;
    }
    for (const [id, { row }] of this.rows) {
      if (!kept.has(id)) { row.remove(); this.rows.delete(id); }
    }
    const first = state.utterances[0]?.id;
    if (!this.chosen && first) this.rows.get(first).row.tabIndex = 0;
  }

  row(utterance, findings, questions) {
    const sign = JSON.stringify([utterance, findings, questions, this.others(utterance.id).map((one) => one.key),
      this.correcting === utterance.id, Boolean(this.state.sound)]);
    const known = this.rows.get(utterance.id);
    if (known?.sign === sign) {
      if (this.chosen === utterance.id || known.row.classList.contains("chosen")) this.mark(known.row, utterance, findings);
      return known.row;
    }
    const row = known?.row ?? make("li", { class: "utterance", id: `said-${utterance.id}`, tabindex: "-1" });
    row.dataset.id = utterance.id;
    row.dataset.group = utterance.group;
    const focus = focusIn(row);
    row.replaceChildren(
      this.when(utterance),
      this.correcting === utterance.id ? this.form(utterance) : this.words(utterance, findings),
      this.found(findings, questions),
    );
    this.mark(row, utterance, findings);
    focus?.();
    this.rows.set(utterance.id, { row, sign });
    return row;
  }

  /** Show whether a row is the chosen one: nothing that the pointer may be on is made anew. */
  mark(row, utterance, findings) {
    const chosen = this.chosen === utterance.id;
    row.classList.toggle("chosen", chosen);
    if (chosen) row.setAttribute("aria-current", "true");
    else row.removeAttribute("aria-current");
    row.tabIndex = chosen ? 0 : -1;
    for (const button of row.querySelectorAll(".finding[data-keys]")) {
      button.setAttribute("aria-pressed", chosen && button.dataset.keys === this.finding ? "true" : "false");
    }
    const focus = focusIn(row, ".row-tools");
    row.querySelector(".row-tools")?.remove();
    if (chosen && this.correcting !== utterance.id) row.append(this.tools(utterance, findings));
    focus?.();
  }

  when(utterance) {
    const at = utterance.start_s === null ? "typed" : clock(utterance.start_s);
    const hand = utterance.hand === "corrected" ? "words corrected" : utterance.hand === "added" ? "added by hand" : null;
    return make("div", { class: "when" }, make("span", {}, at),
      make("span", { class: "kind" }, utterance.kind_words),
      hand && make("span", { class: "hand" }, hand));
  }

  words(utterance, findings) {
    const parts = [];
    let at = 0;
    for (const [i, word] of utterance.words.entries()) {
      if (word.start > at) parts.push(utterance.text.slice(at, word.start));
      const keys = findings.concat(this.others(utterance.id)).filter((one) => one.places.some((place) =>
        place.utterance === utterance.id && place.start < word.end && word.start < place.end));
      const names = [...new Set(keys.map((one) => one.key))].join(" ");
      const sound = word.start_s !== null && this.state.sound;
      parts.push(make("span", {
        class: word.unsure ? "word unsure" : "word", "data-word": i, "data-keys": names || null,
        role: sound ? "button" : null, tabindex: sound ? "-1" : null,
        title: word.unsure ? "heard unsurely" : null,
        "aria-description": word.unsure ? "heard unsurely" : null,
      }, utterance.text.slice(word.start, word.end)));
      at = word.end;
    }
    parts.push(utterance.text.slice(at));
    return make("p", { class: "words" }, parts);
  }

  /** Findings that took some of their words from this utterance and stand beside another. */
  others(id) {
    if (this.sharedOf !== this.state) {
      this.sharedOf = this.state;
      this.shared = new Map();
      for (const one of this.state.findings) {
        for (const place of one.places) {
          if (place.utterance === one.utterance) continue;
          const list = this.shared.get(place.utterance) ?? [];
          list.push(one);
          this.shared.set(place.utterance, list);
        }
      }
    }
    return this.shared.get(id) ?? [];
  }

  found(findings, questions) {
    return make("ul", { class: "found", "aria-label": "gave" },
      findings.map((one) => make("li", {}, make("button", {
        type: "button", "data-keys": one.key, "data-focus": `f ${one.key}`,
        class: one.normal === false ? "finding abnormal" : "finding",
        "aria-pressed": this.finding === one.key ? "true" : "false",
      }, one.label, one.mark && make("span", { class: "mark" }, one.mark)))),
      questions.map((one) => make("li", {}, make("button", {
        type: "button", class: "finding open", "data-question": one.id,
      }, `? ${one.prompt}`))));
  }

  tools(utterance, findings) {
    const tool = (key, words, run, pressed = null) => make("button",
      { type: "button", "aria-pressed": pressed, "data-focus": `t ${words}`, onclick: run }, make("kbd", {}, key), ` ${words}`);
    const finding = findings.find((one) => one.key === this.finding);
    const can = !this.state.closed;
    return make("div", { class: "row-tools", role: "toolbar", "aria-label": "This utterance" },
      this.state.sound && utterance.start_s !== null && tool("space", "Hear", () => this.does.hear(utterance)),
      can && tool("enter", "Correct", () => this.correct(utterance.id)),
      can && KINDS.map(({ group, kind, key, words }) => tool(key, words,
        () => this.does.sort(utterance.id, kind), utterance.group === group ? "true" : "false")),
      finding && tool("c", `Change “${finding.label}”`, () => this.does.change(finding)),
      finding && tool("x", "Take out", () => this.does.takeOut(finding)));
  }

  form(utterance) {
    const area = make("textarea", { "aria-label": "The words as they were spoken", spellcheck: "true" });
    area.value = utterance.text;
    const fault = make("p", { class: "fault", role: "alert" });
    const save = async () => {
      const text = area.value.trim();
      if (text === utterance.text.trim()) { this.leave(); return; }
      fault.textContent = "";
      area.readOnly = true; // it may take a moment; everything else goes on
      try {
        await this.does.correct(utterance.id, text);
        if (this.correcting === utterance.id) this.leave();
      } catch (problem) {
        fault.textContent = problem.message;
        area.readOnly = false;
      }
    };
    area.addEventListener("keydown", (event) => {
      if (event.key === "Enter" && !event.shiftKey) { event.preventDefault(); save(); }
      if (event.key === "Escape") { event.preventDefault(); event.stopPropagation(); this.leave(); }
    });
    setTimeout(() => { area.focus(); area.select(); }, 0);
    return make("div", { class: "correct" }, area, fault,
      make("button", { type: "button", class: "main", onclick: save }, "Read it again"),
      make("button", { type: "button", onclick: () => this.leave() }, "Leave it"));
  }

  correct(id) {
    this.correcting = id;
    this.again(id);
  }

  leave() {
    const id = this.correcting;
    this.correcting = null;
    if (id === null) return;
    this.again(id);
    this.rows.get(id)?.row.focus();
  }

  /** Choose an utterance, perhaps with one of its findings. */
  choose(id, finding = null, focus = true) {
    const old = this.chosen;
    this.chosen = id;
    this.finding = finding;
    const first = this.list.querySelector('[tabindex="0"].utterance:not(.chosen)');
    if (first) first.tabIndex = -1;
    if (old && old !== id) this.again(old);
    this.again(id);
    if (focus) this.rows.get(id)?.row.focus();
    this.does.chosen(id);
  }

  again(id) {
    const utterance = this.state.utterances.find((one) => one.id === id);
    if (!utterance) return;
    this.row(utterance, this.state.findings.filter((one) => one.utterance === id),
      this.state.questions.filter((one) => one.places[0]?.utterance === id));
  }

  /** The utterance before (-1) or after (1) the chosen one. */
  move(by) {
    const all = this.state.utterances;
    const at = all.findIndex((one) => one.id === this.chosen);
    const next = all[Math.min(all.length - 1, Math.max(0, at + by))];
    if (next) this.choose(next.id);
  }

  /** Go along the words and findings of the chosen utterance. */
  along(by) {
    const row = this.rows.get(this.chosen)?.row;
    if (!row) return;
    const stops = [...row.querySelectorAll(".word[role=button], .finding")];
    const at = stops.indexOf(document.activeElement);
    const next = stops[Math.min(stops.length - 1, Math.max(0, at < 0 ? (by > 0 ? 0 : stops.length - 1) : at + by))];
    next?.focus();
  }

  /** Mark what is being played. */
  playing(second, playing) {
    const one = playing && this.state?.utterances.find((u) => u.start_s !== null && u.start_s <= second && second < u.end_s);
    if (this.now && this.now !== one?.id) this.rows.get(this.now)?.row.classList.remove("playing");
    this.now = one ? one.id : null;
    if (one) this.rows.get(one.id)?.row.classList.add("playing");
  }

  click(event) {
    const row = event.target.closest(".utterance");
    if (!row || event.target.closest("textarea, .row-tools, .correct")) return;
    const utterance = this.state.utterances.find((one) => one.id === row.dataset.id);
    const word = event.target.closest(".word");
    const finding = event.target.closest(".finding");
    if (finding?.dataset.question) { this.does.question(finding.dataset.question); return; }
    this.choose(row.dataset.id, finding ? finding.dataset.keys : null, !finding && !word);
    if (finding) byFocus(`f ${finding.dataset.keys}`)?.focus();
    if (word && utterance) {
      const spoken = utterance.words[Number(word.dataset.word)];
      if (spoken?.start_s !== null && this.state.sound) this.does.hearWord(spoken);
    }
  }
}

function groupBy(items, key) {
  const groups = new Map();
  for (const item of items) {
    const name = key(item);
    if (!groups.has(name)) groups.set(name, []);
    groups.get(name).push(item);
  }
  return groups;
}

const byFocus = (name) => document.querySelector(`[data-focus="${CSS.escape(name)}"]`);

/** How to give the focus back to what has it inside an element that is made anew. */
function focusIn(row, part = "*") {
  const active = document.activeElement;
  if (!active || !row.contains(active) || active === row || !active.closest(part)) return null;
  const name = active.dataset.focus;
  return () => (name && row.querySelector(`[data-focus="${CSS.escape(name)}"]`) || row).focus();
}
