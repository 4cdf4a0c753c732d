// Opens a figure: its formula, what went into it, and so on down to what was said, assumed or looked up.

import { make } from "/make.js";
import { t } from "/words.js";

const dialog = document.getElementById("working");
const title = document.getElementById("working-title");
const body = document.getElementById("working-body");
document.getElementById("working-close").addEventListener("click", () => dialog.close());
dialog.addEventListener("click", (event) => {
  if (event.target === dialog) dialog.close();
});

export async function openWorking(quote, path, name) {
  title.textContent = t("working", { name });
  body.replaceChildren(make("p", { class: "hint" }, t("loading")));
  dialog.showModal();
  try {
    const answer = await fetch(`/api/quotes/${encodeURIComponent(quote)}/figures/${path}`);
    const json = await answer.json();
    if (!answer.ok) throw new Error(json.error);
    body.replaceChildren(tree(json.figure));
  } catch (error) {
    body.replaceChildren(make("p", {}, t("no_working", { error: error.message })));
  }
}

function tree({ root, steps }) {
  const seen = new Set();
  const build = (number, depth) => {
    const step = steps[number];
    // A sum of one is that one: nothing is gained by showing both.
    if (step.formula === "sum" && step.inputs.length === 1) return build(step.inputs[0], depth);
    const head = [make("span", { class: "step-name" }, step.words), " ", make("span", { class: "step-value" }, step.shown)];
    if (step.origin) {
      const { kind, kind_words, source, range } = step.origin;
      const from = kind === "stated" ? kind_words : `${kind_words}: ${source}`;
      return make("li", { class: `step leaf from-${kind}` },
        make("p", {}, head),
        make("p", { class: "step-from" }, from, range ? ` (${t("could_be", { range })})` : ""));
    }
    const formula = make("p", { class: "step-formula" }, `= ${step.formula_words}`,
      step.formula_numbers ? [make("br"), `= ${step.formula_numbers}`] : null);
    if (seen.has(number)) return make("li", { class: "step" }, make("p", {}, head, ` (${t("seen")})`));
    seen.add(number);
    const inputs = make("ul", {}, step.inputs.map((each) => build(each, depth + 1)));
    if (depth === 0) return make("li", { class: "step" }, make("p", { class: "step-top" }, head), formula, inputs);
    return make("li", { class: "step" }, make("details", depth < 2 ? { open: true } : {}, make("summary", {}, head), formula, inputs));
  };
  return make("ul", { class: "tree" }, build(root, 0));
}
