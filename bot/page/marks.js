// The writer's own words with highlighter strokes over what was read, and the key to the strokes.

import { make } from "/make.js";
import { t } from "/words.js";

const PENS = {
  count: ["qty", "lamps"],
  what: ["family", "source", "watts", "lamp_feet", "size", "input_watts", "led_watts", "led_lumens", "keep_housing"],
  money: ["rate_per_kwh", "demand_rate_per_kw", "schedule", "rebate_per_luminaire", "labor_per_luminaire", "budget",
    "payback_limit_years", "price_now"],
};
const PEN_OF = Object.fromEntries(Object.entries(PENS).flatMap(([pen, slots]) => slots.map((slot) => [slot, pen])));

function penOf(path) {
  return PEN_OF[path.split(".").pop()] ?? "where";
}

function nameOf(path, slots) {
  const slot = slots[path];
  return slot ? `${slot.name}: ${slot.value}` : path;
}

// Stretches of the text, each with the slots that were read from it. Offsets are code points, as Array.from counts.
function stretches(length, spans, unread) {
  const cuts = new Set([0, length]);
  for (const [, start, end] of [...spans.map(([, span]) => span), ...unread]) {
    if (start >= 0 && start < end && end <= length) cuts.add(start).add(end);
  }
  const order = [...cuts].sort((a, b) => a - b);
  return order.slice(0, -1).map((start, i) => {
    const end = order[i + 1];
    const over = ([, from, to]) => from <= start && end <= to;
    return {
      start,
      end,
      paths: spans.filter(([, span]) => over(span)).map(([path]) => path),
      unread: unread.some(over),
    };
  });
}

export function marked(turn) {
  const letters = Array.from(turn.text);
  const { reading, answer } = turn;
  const here = ([number]) => number === turn.turn;
  const spans = Object.entries(reading.spans).filter(([, span]) => here(span));
  const unread = reading.unread.filter(here);
  const doubted = new Set(reading.doubts.map((doubt) => doubt.path));
  const used = new Map();
  const words = make("p", { class: "words" });
  for (const part of stretches(letters.length, spans, unread)) {
    const text = letters.slice(part.start, part.end).join("");
    if (part.paths.length > 0) {
      const pen = penOf(part.paths[0]);
      const names = [...new Set(part.paths.map((path) => nameOf(path, answer.slots)))];
      for (const path of part.paths) used.set(path, pen);
      words.append(
        make("mark", {
          class: `pen-${pen}${part.paths.some((path) => doubted.has(path)) ? " doubted" : ""}`,
          title: names.join(" · "),
          "data-slots": part.paths.join(" "),
        }, text),
      );
    } else if (part.unread) {
      words.append(make("span", { class: "unread", title: t("unused") }, text));
    } else {
      words.append(text);
    }
  }
  return { words, key: key(used, reading, answer, unread, letters) };
}

// What the strokes mean, as a list: a screen reader gets it without seeing a color.
function key(used, reading, answer, unread, letters) {
  const rows = [];
  const said = new Set();
  for (const pen of ["count", "what", "where", "money"]) {
    for (const [path, its] of used) {
      if (its !== pen) continue;
      const slot = answer.slots[path];
      if (!slot || said.has(slot.name + slot.value)) continue;
      said.add(slot.name + slot.value);
      const doubt = reading.doubts.find((each) => each.path === path);
      rows.push(
        make("div", { class: "key-row" },
          make("dt", {}, make("span", { class: `swatch pen-${pen}`, "aria-hidden": "true" }), slot.name),
          make("dd", {}, slot.value, doubt ? make("span", { class: "doubt" }, ` (${doubt.why})`) : null)),
      );
    }
  }
  if (rows.length === 0 && unread.length === 0) return null;
  const list = make("dl", { class: "key", "aria-label": t("read") }, rows);
  if (unread.length > 0) {
    list.append(make("div", { class: "key-row" },
      make("dt", {}, make("span", { class: "swatch unread-swatch", "aria-hidden": "true" }), t("unused")),
      make("dd", {}, unread.map(([, start, end]) => `“${letters.slice(start, end).join("").trim()}”`).join(", "))));
  }
  return list;
}
