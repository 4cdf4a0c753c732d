// A turn as it lies on the board: the writer's slip with its marks, and the ticket or note that answers it.

import { editForm } from "/edit.js";
import { make, picture } from "/make.js";
import { marked } from "/marks.js";
import { tape } from "/tape.js";
import { openWorking } from "/working.js";
import { speak, spoken, t } from "/words.js";

// What a turn is shown with: `change(changes, words)` and `say(text)` send; `number` counts tickets.
export function showTurn(turn, { change, say, number }) {
  speak(turn.answer.language);
  const card = turn.answer.card;
  const answer = card.kind === "quote" ? ticket(turn, card, { change, say, number })
    : card.kind === "layout" ? lightSheet(turn, card, { say, number }) : noteSlip(card, number);
  answer.lang = turn.answer.language;
  return { slip: slip(turn), answer };
}

export function summaryOf(turn) {
  const card = turn.answer.card;
  if (card.kind === "quote" && card.money?.payback) {
    const { saved, payback } = card.money;
    const text = t("summary_quote", { saved, payback, count: card.cautions.length });
    return card.questions.length > 0 ? `${text} ${card.questions[0].text}` : text;
  }
  if (card.kind === "layout") return [...card.lines.flatMap((line) => line.answer), card.question].filter(Boolean).join(" ");
  return [...(card.faults ?? []), ...(card.paragraphs ?? []), ...(card.lines ?? []).map((line) => line.problem)]
    .filter(Boolean).join(" ") || t("summary_problem");
}

function slip(turn) {
  if (turn.changes.length > 0) {
    return make("div", { class: "slip slip-change" },
      make("p", { class: "slip-who" }, t("you_changed")), make("p", { class: "words" }, turn.text));
  }
  const { words, key } = marked(turn);
  return make("div", { class: "slip" }, make("p", { class: "slip-who" }, t("you")), words, key);
}

function noteSlip(card, number) {
  return make("section", { class: card.is_stop ? "note stop" : "note", "aria-label": t("note", { number }) },
    faults(card.faults),
    card.paragraphs.map((text) => make("p", {}, text)),
    card.items.length > 0 ? make("ul", {}, card.items.map((text) => make("li", {}, text))) : null,
    card.trace ? make("pre", { class: "trace", tabindex: "0" }, card.trace) : null,
    card.heard.length > 0
      ? [make("p", { class: "small-head" }, t("read")), make("ul", {}, card.heard.map((text) => make("li", {}, text)))] : null,
    unused(card.unread),
    cautions(card.cautions.map((text) => ({ text }))));
}

// What was asked of light: the answer, what it rests on, the plan and the section. Guidance, never a design.
function lightSheet(turn, card, { say, number }) {
  const open = (path, name) => openWorking(turn.quote_id, path, name);
  const list = (texts) => make("ul", { class: "rows" }, texts.map((text) => make("li", {}, text)));
  const guides = (line) => [...line.guides, line.power, line.limits].filter(Boolean);
  return make("section", { class: "ticket light-sheet", "aria-label": t("light_sheet", { number }) },
    faults(card.faults),
    card.lines.map((line) => make("div", { class: "line" },
      make("h3", {}, line.title),
      make("p", { class: "light-answer" }, line.answer.join(" ")),
      line.sky ? make("p", {}, `${t("sky")}: ${line.sky}`) : null)),
    card.question ? make("div", { class: "question", role: "group", "aria-label": t("question") },
      make("p", {}, make("strong", {}, `${t("question")}: `), card.question),
      make("p", { class: "answers" }, make("button", { type: "button", class: "plain", onclick: () => say("") }, t("label_answer")))) : null,
    card.pictures.length > 0 ? make("div", { class: "pictures light-pictures" },
      card.pictures.map(({ svg }) => picture(svg)).filter(Boolean).map((drawn) => make("figure", { class: "picture" }, drawn))) : null,
    make("h3", {}, t("figures")),
    make("p", { class: "hint" }, t("figures_hint")),
    card.lines.map((line) => make("dl", { class: "ledger" }, line.figures.map((figure) => make("div", { "data-name": figure.figure },
      make("dt", {}, figure.words), make("dd", {}, figureButton(figure, "", open)))))),
    card.lines.map((line) => make("p", { class: "hint" }, line.basis)).slice(0, 1),
    make("h3", {}, t("read")), list(card.read),
    card.assumed.length > 0 ? [make("h3", {}, t("assumed")), list(card.assumed)] : null,
    unused(card.unread),
    card.lines.length > 0 && guides(card.lines[0]).length > 0 ? [make("h3", {}, t("guides")), list(guides(card.lines[0]))] : null,
    card.left_out ? make("p", {}, card.left_out) : null,
    cautions(card.cautions.map((text) => ({ text }))));
}

function ticket(turn, card, { change, say, number }) {
  const open = (path, name) => openWorking(turn.quote_id, path, name);
  const heading = `ticket-${turn.turn}`;
  return make("section", { class: "ticket", "aria-labelledby": heading },
    make("header", { class: "ticket-head" },
      make("h2", { id: heading }, t("ticket", { number })),
      make("time", { datetime: turn.received_at }, when(turn.received_at))),
    faults(card.faults),
    headline(card, open),
    first(card, heading),
    unused(card.unread),
    question(card, change, say),
    make("h3", {}, t("replaces")),
    card.lines.map((line) => lineOf(line, card.lines.length, card.paid_once, open)),
    card.lines_left_out ? make("p", {}, t("more_lines", { count: card.lines_left_out })) : null,
    figures(card, open),
    assumptions(card, change),
    cautions([...card.cautions_triggered, ...card.cautions_always], `${heading}-cautions`),
    make("p", { class: "fine" }, t("versions", { catalog: card.catalog_version, tables: card.tables_version })));
}

function headline(card, open) {
  const { money } = card;
  if (!money) return null;
  const payback = card.totals.find((total) => total.name === "simple_payback_years");
  if (money.at_once || !payback) {
    return make("p", { class: "headline" }, t(money.at_once ? "at_once" : "never"));
  }
  const range = payback.range;
  return make("div", { class: "headline" },
    make("p", {},
      `${t("pays_in")} `,
      figureButton(payback, "big", open),
      range ? make("span", { class: "likely" }, ` ${t("likely", { range })}`) : null),
    summaryLine(card, open),
    payback.spread ? tape(payback.spread, payback.shown, range) : null);
}

// "Saves $1,769 a year for $3,499. Buying new anyway, the extra $1,416 comes back in 10 months."
function summaryLine(card, open) {
  const total = (name) => card.totals.find((each) => each.name === name);
  const line = (key, names) => {
    if (names.some((name) => !total(name))) return [];
    return t(key).split(/(\{[a-z_]+\})/).map((part) => (part.startsWith("{") ? figureButton(total(part.slice(1, -1)), "", open) : part));
  };
  return make("p", {},
    line("saves_for", ["saved_per_year", "net_cost"]),
    card.money.premium_at_once ? [] : line("anyway", ["premium_cost", "premium_payback_years"]));
}

function figureButton(figure, style, open) {
  return make("button", {
    type: "button", class: `figure ${style}`, "aria-haspopup": "dialog", title: t("figures_hint"),
    onclick: () => open(figure.figure, figure.words),
  }, figure.shown);
}

function question(card, change, say) {
  if (card.questions.length === 0) return null;
  const { text, choices, path } = card.questions[0];
  const answers = choices.map((choice) => make("button", {
    type: "button", class: "plain",
    onclick: () => change([{ path, value: choice.value }], `${text} ${choice.words}`),
  }, choice.words));
  return make("div", { class: "question", role: "group", "aria-label": t("question") },
    make("p", {}, make("strong", {}, `${t("question")}: `), text),
    answers.length > 0 ? make("p", { class: "answers" }, answers)
      : make("p", { class: "answers" }, make("button", { type: "button", class: "plain", onclick: () => say("") }, t("label_answer"))));
}

function lineOf(line, count, paidOnce, open) {
  const path = line.existing_figure;
  return make("div", { class: "line" },
    make("h4", {}, count > 1 ? `${line.number}. ${line.title}` : line.title,
      line.supposed_lamp ? make("span", { class: "supposed" }, ` (${line.supposed_lamp})`) : null),
    line.details.length > 0 ? make("p", { class: "details" }, line.details.join(", ")) : null,
    line.existing_watts ? make("p", { class: "now" },
      path ? figureButton({ figure: path, words: line.title, shown: t("now", { watts: line.existing_watts }) }, "", open)
        : t("now", { watts: line.existing_watts }),
      line.existing_source ? ` · ${line.existing_source}` : "",
      line.existing_range ? ` (${t("could_be", { range: line.existing_range })})` : "") : null,
    line.doubts.map((doubt) => make("p", { class: "doubt" },
      `${doubt.name}: ${doubt.value}`, ` (${doubt.others ? t("doubt", { others: doubt.others }) : t("check")})`)),
    line.problem ? make("p", { class: "problem" }, line.problem) : null,
    make("ol", { class: "options" }, line.options.map((option) => optionOf(option, paidOnce, open))),
    line.options.length > 0 && line.light.matched ? make("p", { class: "light" },
      [...line.light.sentences, line.light.matched, line.light.basis].filter(Boolean).join(" ")) : null,
    passedOver(line));
}

function passedOver(line) {
  if (line.passed_over.length === 0) return null;
  return make("details", { class: "minor" },
    make("summary", {}, t("passed_over", { count: line.passed_over_count })),
    make("ul", { class: "rows" }, line.passed_over.map((row) => make("li", {},
      `${row.reason} `, make("span", { class: "parts" }, row.parts.join(", ") + (row.count > row.parts.length ? ` (+${row.count - row.parts.length})` : ""))))));
}

function optionOf(option, paidOnce, open) {
  const fact = (label, value, path) => value ? make("div", {},
    make("dt", {}, label),
    make("dd", {}, path ? figureButton({ figure: path, words: `${label}, ${option.part_number}`, shown: value }, "", open) : value)) : null;
  return make("li", { class: option.chosen ? "option chosen" : "option" },
    make("p", { class: "option-head" },
      make("span", { class: "letter", "aria-label": t("option", { letter: option.letter }) }, option.letter),
      make("span", { class: "part" }, option.part_number),
      make("span", { class: "role" }, option.role),
      option.chosen ? make("span", { class: "chosen-tag" }, t("counted")) : null),
    make("p", { class: "description" }, option.description),
    make("dl", { class: "facts" },
      fact(t("price"), option.pieces ? `${option.price} (${option.pieces})` : option.price, option.figures.price),
      fact(t("watts"), option.watts),
      fact(t("lumens"), option.lumens),
      fact(t("light"), option.light, option.figures.light),
      fact(t("colour"), [option.cct, option.finish].filter(Boolean).join(", ")),
      fact(t("saved"), option.saved, option.figures.saved),
      fact(paidOnce ? t("payback_apart", { costs: paidOnce }) : t("payback"), option.payback, option.figures.payback),
      fact(t("stock"), option.stock)),
    option.reasons.length > 0 ? make("p", { class: "reasons" }, make("strong", {}, `${t("reasons")}: `), option.reasons.join(" ")) : null,
    option.concerns.length > 0 ? make("p", { class: "concerns" }, make("strong", {}, `${t("mind")}: `), option.concerns.join(" ")) : null);
}

function figures(card, open) {
  if (card.totals.length === 0) return null;
  // Without a rebate, what is paid is what the project costs.
  const ledger = card.totals.filter((total) => total.name !== "net_cost" || card.money?.rebate);
  return make("div", { class: "figures" },
    make("h3", {}, t("figures")),
    make("p", { class: "hint" }, t("figures_hint")),
    make("div", { class: "figures-row" },
      make("dl", { class: "ledger" }, ledger.map((total) => make("div", { "data-name": total.name },
        make("dt", {}, total.words),
        make("dd", {}, figureButton(total, "", open), total.range ? make("span", { class: "range" }, total.range) : null)))),
      make("div", { class: "pictures" }, card.pictures.map(pictureOf))),
    card.notes.length > 0 ? make("p", { class: "left-out" }, make("strong", {}, `${t("money_note")}: `), card.notes.join(" ")) : null);
}

// The first picture lies open; the second where there is room beside the figures; the others are behind a press.
function pictureOf({ words, svg }, place) {
  const drawn = picture(svg);
  if (!drawn) return null;
  const figure = make("figure", { class: "picture" }, drawn);
  if (place === 0) return figure;
  return make("details", { class: "folded-picture", open: place === 1 && matchMedia("(min-width: 46rem)").matches },
    make("summary", {}, words), figure);
}

function assumptions(card, change) {
  if (card.assumptions.length === 0) return null;
  return make("div", { class: "assumed" },
    make("h3", {}, t("assumed")),
    make("p", { class: "hint" }, t("assumed_hint")),
    make("ul", { class: "tags" }, card.assumptions.map((each) => tag(each, change))),
    card.minor.length > 0 ? make("details", { class: "minor" },
      make("summary", {}, t("minor", { count: card.minor.length })),
      make("ul", {}, card.minor.map((text) => make("li", {}, text)))) : null);
}

// A tag: pressed, it opens a form below itself and takes the focus there; left, it gives the focus back.
function tag(assumption, change) {
  const holder = make("div", { class: "tag-form", hidden: true });
  const button = make("button", { type: "button", class: "tag", "aria-expanded": "false", "data-path": assumption.path, onclick: toggle },
    make("span", { class: "tag-name" }, assumption.where ? `${assumption.name} (${assumption.where})` : assumption.name),
    make("span", { class: "tag-value" }, assumption.value),
    assumption.range ? make("span", { class: "tag-range" }, t("could_be", { range: assumption.range })) : null,
    assumption.others ? make("span", { class: "tag-range" }, t("could_be", { range: assumption.others })) : null);
  function toggle() {
    const opens = holder.hidden;
    holder.hidden = !opens;
    button.setAttribute("aria-expanded", String(opens));
    if (!opens) return;
    holder.replaceChildren(
      make("p", { class: "tag-source" }, `${t("source")}: ${assumption.source.replace(/\.*$/, "")}.`,
        assumption.swing ? ` ${t("moves", { swing: assumption.swing })}` : ""),
      assumption.edit ? editForm(assumption, change, leave) : make("p", { class: "hint" }, t("fixed")));
    holder.querySelector("input, select")?.focus();
  }
  function leave() {
    if (!holder.hidden) toggle();
    button.focus();
  }
  return make("li", {}, button, holder);
}

// The cautions in a few words up here, in full below: a long ticket must not hide them.
function first(card, heading) {
  if (card.cautions.length === 0) return null;
  const named = [...card.cautions_to_name.slice(0, 2), ...card.cautions.filter((each) => each.key === "licensed_work")];
  return make("p", { class: "first-caution" },
    named.map((caution) => `${caution.short} `),
    make("a", { href: `#${heading}-cautions` }, t("all_cautions", { count: card.cautions.length })));
}

// Every caution that applies, in a few words that need no press; in full behind one. Of a note, which has few: in full.
function cautions(list, id = null) {
  if (list.length === 0) return null;
  const rows = (some, key) => make("ul", {}, some.map((caution) => make("li", {}, caution[key])));
  return make("div", { class: "cautions" },
    make("h3", { id, tabindex: id ? "-1" : null }, t("cautions")),
    list.some((caution) => !caution.short) ? rows(list, "text") : [
      rows(list, "short"),
      make("details", {}, make("summary", {}, t("cautions_in_full")), rows(list, "text"))]);
}

function faults(list) {
  return list.length > 0 ? make("div", { class: "faults" }, make("p", { class: "small-head" }, t("check")),
    make("ul", {}, list.map((text) => make("li", {}, text)))) : null;
}

function unused(list) {
  return list.length > 0 ? make("p", { class: "unused" }, `${t("unused")}: `, list.map((text) => `“${text}”`).join(", ")) : null;
}

function when(iso) {
  return new Date(iso).toLocaleString(spoken(), { dateStyle: "medium", timeStyle: "short" });
}
