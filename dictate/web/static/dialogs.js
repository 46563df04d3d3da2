// The small windows: adding and changing a finding, signing, the keys.

import { byId, fill, make } from "./dom.js";

export class Dialogs {
  /** `doIt`, `state`, `choices`: see review.js. */
  constructor(does) {
    this.does = does;
    this.form("add", () => ["add", { text: byId("add-words").value.trim() }, "Added."]);
    this.form("patient", () => ["patient", { patient: byId("patient-name").value.trim() }, "Named."]);
    this.form("sign", () => ["sign", { name: byId("sign-name").value.trim() }, "Signed."]);
    this.form("change", () => ["change", this.changed(), "Changed."]);
  }

  /** A form whose main button does something; a fault is shown and the window stays open. */
  form(name, request) {
    const dialog = byId(`${name}-dialog`);
    const fault = dialog.querySelector(".fault");
    byId(`${name}-form`).addEventListener("submit", async (event) => {
      event.preventDefault();
      if (event.submitter?.value === "leave") { dialog.close(); return; }
      fault.textContent = "";
      try {
        await this.does.doIt(...request(), () => dialog.close());
      } catch (problem) {
        fault.textContent = problem.message;
      }
    });
  }

  open(name) {
    const dialog = byId(`${name}-dialog`);
    const fault = dialog.querySelector(".fault");
    if (fault) fault.textContent = "";
    dialog.showModal();
    return dialog;
  }

  /** `words`: how it begins. */
  add(words = "") {
    byId("add-words").value = words;
    this.open("add");
    byId("add-words").focus();
  }

  patient() {
    byId("patient-name").value = this.does.state().patient;
    this.open("patient");
    byId("patient-name").select();
  }

  sign() {
    const open = this.does.state().questions.length;
    const warning = byId("sign-open");
    warning.hidden = !open;
    warning.textContent = open === 1 ? "One question is still open. The note says so." : `${open} questions are still open. The note says so.`;
    this.open("sign");
    byId("sign-name").focus();
  }

  keys() {
    this.open("keys");
  }

  async change(finding) {
    const choices = await this.does.choices(finding.key);
    this.was = { ...choices.now, key: finding.key };
    byId("change-was").textContent = `It says: ${choices.label}.`;
    const choose = (name, words, options) => make("label", {}, words,
      make("select", { name }, options.map(([id, text]) => make("option", { value: id, selected: id === choices.now[name] }, text))));
    const known = choices.values.some(([id]) => id === choices.now.value);
    fill(byId("change-fields"),
      choices.free
        ? make("label", {}, "Value", make("input", { name: "value", value: choices.now.value, autocomplete: "off", list: "change-values" }),
          make("datalist", { id: "change-values" }, choices.values.map(([id, text]) => make("option", { value: id }, text))))
        : choose("value", "Value", known ? choices.values : [[choices.now.value, choices.now.value], ...choices.values]),
      choices.sided ? choose("side", "Side", [["right", "right"], ["left", "left"], ["", "no side"]]) : null,
      choices.sites.length ? choose("site", "Place", choices.sites) : null);
    this.open("change");
    byId("change-fields").querySelector("select, input").focus();
  }

  changed() {
    const body = { finding: this.was.key };
    for (const field of byId("change-fields").querySelectorAll("select, input")) {
      if (field.value !== this.was[field.name]) body[field.name] = field.value;
    }
    return body;
  }
}
