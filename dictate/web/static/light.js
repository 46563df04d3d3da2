// A finding, its words and its sentence light each other up.

/** Light up everything that shares a finding with what the pointer or the focus is on. */
export function lightUp(container) {
  let lit = [];
  const light = (event) => {
    const keys = event.target.closest?.("[data-keys]")?.dataset.keys ?? "";
    for (const element of lit) element.classList.remove("lit");
    lit = [];
    for (const key of keys.split(" ").filter(Boolean)) {
      for (const element of container.querySelectorAll(`[data-keys~="${CSS.escape(key)}"]`)) {
        element.classList.add("lit");
        lit.push(element);
      }
    }
  };
  container.addEventListener("pointerover", light);
  container.addEventListener("focusin", light);
}
