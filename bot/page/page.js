// Wires the page: the pad that messages are written on, the board that slips and tickets lie on, the line between.

import { showTurn, summaryOf } from "/card.js";
import { Line } from "/line.js";
import { make } from "/make.js";
import { EXAMPLES, dress, t } from "/words.js";

const DRAFT = "wattclerk.draft";
const talk = document.getElementById("talk");
const said = document.getElementById("said");
const pad = document.getElementById("pad");
const words = document.getElementById("words");
const link = document.getElementById("link");
const welcome = document.getElementById("welcome");

let tickets = 0;
let fresh = true;

dress(document);
try {
  words.value = sessionStorage.getItem(DRAFT) ?? "";
} catch {
  // No storage: a draft then lives as long as the page.
}

// Only who has signed in gets at the staff's pages, and only they are shown the way there.
fetch("/staff", { method: "HEAD", redirect: "manual", cache: "no-store" })
  .then((page) => { document.getElementById("staff").hidden = !page.ok; })
  .catch(() => {});

for (const text of EXAMPLES) {
  document.getElementById("examples").append(
    make("li", {}, make("button", { type: "button", class: "example", lang: text.startsWith("cuanto") ? "es" : "en", onclick: () => send(text) }, text)));
}

const line = new Line({
  turn(turn) {
    settle(turn.message_id);
    const { slip, answer } = showTurn(turn, { change: sendChange, say: write, number: (tickets += 1) });
    const article = make("article", { class: "turn", "data-turn": String(turn.turn) }, slip, answer);
    talk.append(article);
    welcome.classList.add("folded");
    if (fresh) return;
    announce(summaryOf(turn));
    slip.scrollIntoView({ block: "start", behavior: calm() ? "auto" : "smooth" });
  },
  state(state) {
    link.textContent = t(state);
    link.dataset.state = state;
    if (state === "linked") {
      fresh = false;
      for (const message of line.waiting) showWaiting(message);
    }
  },
  refused(message, error, wait) {
    if (wait > 0) {
      link.textContent = t("slow", { seconds: wait });
      return;
    }
    settle(message.message_id);
    const slip = make("article", { class: "turn" }, make("div", { class: "slip slip-refused" },
      make("p", { class: "slip-who" }, t("refused", { error })),
      make("p", { class: "words" }, message.text.slice(0, 400)),
      make("button", { type: "button", class: "plain", onclick: () => { slip.remove(); write(message.text); } }, t("edit"))));
    talk.append(slip);
    announce(t("refused", { error }));
  },
  lost() {
    talk.replaceChildren(make("p", { class: "hint" }, t("lost")));
    tickets = 0;
  },
});

function send(text) {
  showWaiting(line.say(text));
}

function sendChange(changes, text) {
  showWaiting(line.say(text, changes));
  words.focus({ preventScroll: true });
}

function write(text) {
  if (text) words.value = text;
  grow();
  words.focus();
}

// What was sent and is not answered yet lies on the board at once.
function showWaiting(message) {
  if (talk.querySelector(`[data-message="${message.message_id}"]`)) return;
  const slip = make("article", { class: "turn waiting", "data-message": message.message_id },
    make("div", { class: "slip" },
      make("p", { class: "slip-who" }, link.dataset.state === "linked" ? t("waiting") : t("kept")),
      make("p", { class: "words" }, message.text)));
  talk.append(slip);
  slip.scrollIntoView({ block: "nearest" });
}

function settle(id) {
  talk.querySelector(`[data-message="${id}"]`)?.remove();
}

function announce(text) {
  said.append(make("p", {}, text));
  while (said.children.length > 20) said.firstChild.remove();
}

function calm() {
  return matchMedia("(prefers-reduced-motion: reduce)").matches;
}

function grow() {
  words.rows = Math.min(8, Math.max(1, words.value.split("\n").length, Math.ceil(words.value.length / 60)));
}

words.addEventListener("input", () => {
  grow();
  try {
    sessionStorage.setItem(DRAFT, words.value);
  } catch {
    // As above.
  }
});

words.addEventListener("keydown", (event) => {
  // While an input method composes, Enter belongs to it.
  if (event.key === "Enter" && !event.shiftKey && !event.isComposing) {
    event.preventDefault();
    pad.requestSubmit();
  }
});

pad.addEventListener("submit", (event) => {
  event.preventDefault();
  const text = words.value.trim();
  if (!text) {
    words.focus();
    return;
  }
  send(text);
  words.value = "";
  words.dispatchEvent(new Event("input"));
});

document.getElementById("fresh").addEventListener("click", () => {
  if (talk.children.length > 0 && !confirm(t("fresh_sure"))) return;
  line.leave();
  talk.replaceChildren();
  tickets = 0;
  welcome.classList.remove("folded");
  words.focus();
});
