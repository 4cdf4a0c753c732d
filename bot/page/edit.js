// The small form behind an assumption's tag. What it sends is one slot set, with the same in words.

import { make } from "/make.js";
import { t } from "/words.js";

let forms = 0;

// Builds the form; `send(changes, words)` is called with what was filled in, `leave()` when it is left as it was.
export function editForm(assumption, send, leave) {
  const { edit } = assumption;
  const id = `edit-${(forms += 1)}`;
  const field = FIELDS[edit.kind](edit, id);
  const fault = make("p", { class: "fault", id: `${id}-fault`, role: "alert" });
  return make("form", {
    class: "edit",
    onsubmit(event) {
      event.preventDefault();
      const given = field.read();
      if (given === null) {
        fault.textContent = edit.kind === "number" || edit.kind === "hours"
          ? t("bad_number", { low: plain(edit.low), high: plain(edit.high) }) : "";
        field.node.querySelector("input, select")?.focus();
        return;
      }
      send([{ path: edit.path, value: given.value }], `${edit.name}: ${given.words}`);
    },
    onkeydown(event) {
      if (event.key === "Escape") leave();
    },
  }, field.node, fault,
  make("div", { class: "edit-buttons" },
    make("button", { type: "submit", class: "ink" }, t("change")),
    make("button", { type: "button", class: "plain", onclick: leave }, t("cancel"))));
}

const FIELDS = {
  number(edit, id) {
    const input = make("input", {
      id, type: "text", inputmode: "decimal", autocomplete: "off", "aria-describedby": `${id}-fault`,
      value: typeof edit.value === "number" ? plain(edit.value) : "",
    });
    return {
      node: make("p", {}, make("label", { for: id }, edit.name), input, make("span", { class: "unit" }, edit.unit)),
      read() {
        const value = number(input.value);
        if (value === null || value < edit.low || value > edit.high) return null;
        return { value, words: edit.unit.startsWith("$") ? `$${plain(value)}${edit.unit.slice(1)}` : `${plain(value)} ${edit.unit}`.trim() };
      },
    };
  },
  choice(edit, id) {
    const select = make("select", { id }, edit.choices.map((choice, i) =>
      make("option", { value: String(i), selected: choice.value === edit.value }, choice.words)));
    return {
      node: make("p", {}, make("label", { for: id }, edit.name), select),
      read() {
        const choice = edit.choices[Number(select.value)];
        return { value: choice.value, words: choice.words };
      },
    };
  },
  text(edit, id) {
    const input = make("input", { id, type: "text", maxlength: "80", value: edit.value ?? "" });
    return {
      node: make("p", {}, make("label", { for: id }, edit.name), input),
      read: () => (input.value.trim() ? { value: input.value.trim(), words: input.value.trim() } : null),
    };
  },
  place(edit, id) {
    const input = make("input", { id, type: "text", maxlength: "80", value: typeof edit.value === "string" ? edit.value : "" });
    return {
      node: make("p", {}, make("label", { for: id }, t("town")), input),
      read() {
        const said = input.value.trim();
        const zip = /^[0-9]{5}$/.test(said);
        const state = /^(.{1,70}),? +([A-Za-z]{2})$/.exec(said);
        if (!said) return null;
        const value = zip ? { zip: said }
          : state ? { city: state[1].replace(/,$/, ""), state: state[2].toUpperCase() } : { city: said };
        return { value, words: said };
      },
    };
  },
  hours(edit, id) {
    const kinds = ["dusk_to_dawn", "always_on", "per_day", "per_year"];
    const select = make("select", { id, onchange: show }, kinds.map((kind) => make("option", { value: kind }, t(kind))));
    const day = make("input", { id: `${id}-day`, type: "text", inputmode: "decimal" });
    const week = make("input", { id: `${id}-week`, type: "text", inputmode: "decimal", value: "7" });
    const year = make("input", {
      id: `${id}-year`, type: "text", inputmode: "decimal", value: typeof edit.value === "number" ? plain(Math.round(edit.value)) : "",
    });
    const daily = make("p", {}, make("label", { for: day.id }, t("per_day")), day, make("label", { for: week.id }, t("per_week")), week);
    const yearly = make("p", {}, make("label", { for: year.id }, t("per_year")), year);
    function show() {
      daily.hidden = select.value !== "per_day";
      yearly.hidden = select.value !== "per_year";
    }
    select.value = "per_year";
    show();
    return {
      node: make("div", {}, make("p", {}, make("label", { for: id }, edit.name), select), daily, yearly),
      read() {
        if (select.value === "per_day") {
          const [a, b] = [number(day.value), number(week.value)];
          if (a === null || b === null || a <= 0 || a > 24 || b <= 0 || b > 7) return null;
          return { value: { hours_per_day: a, days_per_week: b }, words: `${t("per_day")} ${plain(a)}, ${t("per_week")} ${plain(b)}` };
        }
        if (select.value === "per_year") {
          const hours = number(year.value);
          if (hours === null || hours < edit.low || hours > edit.high) return null;
          return { value: { hours_per_year: hours }, words: `${t("per_year")} ${plain(hours)}` };
        }
        return { value: select.value, words: t(select.value) };
      },
    };
  },
};

function number(text) {
  const said = text.trim().replace(/[$, ]/g, "");
  return /^[0-9]{0,9}(\.[0-9]{1,6})?$/.test(said) && said !== "" ? Number(said) : null;
}

function plain(value) {
  return String(Math.round(value * 1e6) / 1e6);
}
