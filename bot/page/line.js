// The line to the server: one socket, opened again whenever it drops, and a queue that forgets nothing.
//
// A message stays in the queue (and in the browser's storage) until its turn comes back. Sent again after a drop it
// carries the same id, and the server answers one id once.

const WAITING = "wattclerk.waiting";
const CONVERSATION = "wattclerk.conversation";
const LONGEST_PAUSE = 15000;

function stored(key, otherwise) {
  try {
    return JSON.parse(localStorage.getItem(key)) ?? otherwise;
  } catch {
    return otherwise;
  }
}

function store(key, value) {
  try {
    if (value === null) localStorage.removeItem(key);
    else localStorage.setItem(key, JSON.stringify(value));
  } catch {
    // No storage (private window, full disk): the queue then lives as long as the page does.
  }
}

function newId() {
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  return Array.from(bytes, (byte) => byte.toString(16).padStart(2, "0")).join("");
}

export class Line {
  // `heard` has: turn(turn), state("linking" | "linked" | "unlinked"), refused(message, error, wait), lost().
  constructor(heard) {
    this.heard = heard;
    this.conversation = stored(CONVERSATION, null);
    this.waiting = stored(WAITING, []);
    this.have = 0;
    this.pause = 400;
    this.flying = null;
    this.joined = false;
    addEventListener("online", () => this.open());
    this.open();
  }

  open() {
    if (this.socket && this.socket.readyState <= WebSocket.OPEN) return;
    clearTimeout(this.timer);
    this.heard.state("linking");
    const scheme = location.protocol === "https:" ? "wss:" : "ws:";
    const socket = new WebSocket(`${scheme}//${location.host}/ws`);
    this.socket = socket;
    socket.addEventListener("open", () => this.put({ type: "join", conversation: this.conversation, have: this.have }));
    socket.addEventListener("message", (event) => this.take(JSON.parse(event.data)));
    socket.addEventListener("close", () => {
      if (this.socket !== socket) return;
      this.joined = false;
      this.flying = null;
      this.heard.state("unlinked");
      this.askWhy();
      this.timer = setTimeout(() => this.open(), this.pause);
      this.pause = Math.min(LONGEST_PAUSE, this.pause * 1.7);
    });
  }

  // A session that has ended looks like a broken line: the page itself then leads to the sign-in. What waits is kept.
  async askWhy() {
    try {
      const page = await fetch("/", { method: "HEAD", redirect: "manual", cache: "no-store" });
      if (page.type === "opaqueredirect") location.assign("/staff/sign-in?to=chat");
    } catch {
      // No server: the next try will tell.
    }
  }

  put(frame) {
    this.socket.send(JSON.stringify(frame));
  }

  take(frame) {
    if (frame.type === "joined") {
      this.pause = 400;
      this.joined = true;
      if (frame.unknown) {
        this.belong(null);
        this.have = 0;
        this.heard.lost();
      }
      for (const turn of frame.turns) this.arrive(turn);
      this.heard.state("linked");
      this.next();
    } else if (frame.type === "turn") {
      this.belong(frame.conversation);
      this.arrive(frame);
      this.flying = null;
      this.next();
    } else if (frame.type === "refused") {
      this.refuse(frame);
    }
  }

  arrive(turn) {
    this.drop(turn.message_id);
    if (turn.turn < this.have) return;
    this.have = turn.turn + 1;
    this.heard.turn(turn);
  }

  refuse(frame) {
    const message = this.waiting.find((each) => each.message_id === frame.message_id) ?? this.waiting[0];
    this.flying = null;
    if (frame.retry_after) {
      this.heard.refused(message, frame.error, frame.retry_after);
      setTimeout(() => this.next(), frame.retry_after * 1000);
    } else if (frame.unknown) {
      // The server no longer has this conversation: the message begins a new one.
      this.belong(null);
      this.have = 0;
      this.heard.lost();
      this.next();
    } else if (message) {
      this.drop(message.message_id);
      this.heard.refused(message, frame.error, 0);
      this.next();
    }
  }

  say(text, changes = []) {
    const message = { message_id: newId(), text, changes };
    this.waiting.push(message);
    store(WAITING, this.waiting);
    this.open();
    this.next();
    return message;
  }

  next() {
    if (!this.joined || this.flying || this.waiting.length === 0 || this.socket.readyState !== WebSocket.OPEN) return;
    this.flying = this.waiting[0];
    this.put({ type: "message", conversation: this.conversation, ...this.flying });
  }

  drop(id) {
    this.waiting = this.waiting.filter((each) => each.message_id !== id);
    store(WAITING, this.waiting.length > 0 ? this.waiting : null);
  }

  belong(conversation) {
    this.conversation = conversation;
    store(CONVERSATION, conversation);
  }

  // Lets go of the conversation; the next message begins another.
  leave() {
    this.belong(null);
    this.have = 0;
    this.waiting = [];
    store(WAITING, null);
  }
}
