// A letter is written on the sheet and mended. The desk keeps every change and fits the curves; this page
// shows how the letter stands, and sends one change after the other.
"use strict";

const SVG = "http://www.w3.org/2000/svg";
const UNIT = 100; // units of the sheet to the x-height
const GRAB = 28; // px around the pointer in which a point is taken: half of 15 mm
const STEP = 0.02; // x-heights of one arrow key
const FAR = 0.1; // the same with Shift
const RESTS = 300; // milliseconds after the last arrow key before the move is sent
const WAYS = { left: [-1, 0], right: [1, 0], up: [0, -1], down: [0, 1] };
const KEYS = { ArrowLeft: "left", ArrowRight: "right", ArrowUp: "up", ArrowDown: "down" };

function put(words, values) {
  return Object.entries(values).reduce((said, [name, value]) => said.replace(`{${name}}`, value), words);
}

function drawn(name, attributes, into) {
  const element = document.createElementNS(SVG, name);
  for (const [key, value] of Object.entries(attributes)) element.setAttribute(key, value);
  into.append(element);
  return element;
}

function line(places, into) {
  const ends = places.length === 1 ? [places[0], places[0]] : places; // a line of no length is drawn as a dot
  return drawn("polyline", { points: ends.map((place) => place.map((at) => (at * UNIT).toFixed(2)).join()).join(" ") }, into);
}

/** The curves with these points as path data. */
function outline(points) {
  const [first, ...rest] = points.map((place) => place.map((at) => (at * UNIT).toFixed(2)).join(" "));
  return `M${first} C${rest.join(" ")}`;
}

/** The points with one of them moved, roughly as the desk will do it: an end takes its handles along. */
function shifted(points, at, [x, y]) {
  const [across, down] = [x - points[at][0], y - points[at][1]];
  return points.map((place, other) => {
    const goes = other === at || (at % 3 === 0 && Math.abs(other - at) === 1);
    return goes ? [place[0] + across, place[1] + down] : place;
  });
}

/** What the desk has drawn, as elements of this page. */
function elements(drawing) {
  const parsed = new DOMParser().parseFromString(`<svg xmlns="${SVG}">${drawing}</svg>`, "image/svg+xml");
  return [...parsed.documentElement.children].map((one) => document.importNode(one, true));
}

class Writer {
  constructor(room) {
    this.room = room;
    this.words = room.dataset;
    this.paper = room.querySelector("[data-paper]");
    this.mode = "write";
    this.stroke = 0;
    this.point = null;
    this.draft = null;
    this.waiting = []; // changes that the desk has not taken yet, the one on its way first
    this.sending = false;
    this.nudged = null;
    this.listen();
  }

  part(name) {
    return this.room.querySelector(`[data-${name}]`);
  }

  get token() {
    return document.querySelector("meta[name=csrf-token]").content;
  }

  async begin() {
    const answer = await fetch(this.words.draft);
    if (!answer.ok) throw new Error(`${this.words.draft}: ${answer.status}`);
    this.take(await answer.json());
  }

  // --- to the desk and back

  send(change) {
    this.settle();
    this.waiting.push(change);
    this.next();
  }

  async next() {
    if (this.sending || this.waiting.length === 0) return;
    this.sending = true;
    const change = { ...this.waiting[0], alphabet: this.words.alphabet, letter: this.words.letter, revision: this.draft.revision };
    const body = JSON.stringify(change);
    const headers = { "Content-Type": "application/json", "X-CSRF-Token": this.token };
    let reply = null;
    try {
      const keepalive = body.length < 60000; // so that a change on its way survives the page
      const answer = await fetch(this.words.change, { method: "POST", body, headers, keepalive, redirect: "error" });
      reply = answer.headers.get("Content-Type").startsWith("application/json") ? await answer.json() : null;
    } catch (error) {
      if (!(error instanceof TypeError)) throw error; // fetch says so when nobody answers
    } finally {
      this.sending = false;
    }
    if (reply === null) {
      this.tell(this.words.unsent, true);
      return;
    }
    this.waiting.shift();
    if (reply.draft) this.take(reply.draft, change.do);
    else this.show();
    this.tell(reply.said ?? "", false);
    this.next();
  }

  /** The desk may have been opened again meanwhile, in another tab: its visit has another token. */
  async renew() {
    const answer = await fetch(window.location.href);
    const page = new DOMParser().parseFromString(await answer.text(), "text/html");
    const token = page.querySelector("meta[name=csrf-token]");
    if (token) document.querySelector("meta[name=csrf-token]").content = token.content;
  }

  tell(said, again) {
    this.part("alert").hidden = !said;
    this.part("wrong").textContent = said;
    this.part("send-again").hidden = !again;
  }

  /** Show the draft as it stands; a stroke that was added is the chosen one. */
  take(draft, change = "") {
    this.draft = draft;
    const last = Math.max(0, draft.strokes.length - 1);
    if (change === "write" || change === "line") this.choose(last, null);
    else this.choose(Math.min(this.stroke, last), this.point);
  }

  choose(stroke, point) {
    this.stroke = stroke;
    const points = this.draft.strokes[stroke]?.points.length ?? 0;
    this.point = point !== null && point < points ? point : null;
    this.show();
  }

  // --- what is shown

  show() {
    const { draft, words } = this;
    const focused = this.focusKey();
    this.part("picture").replaceChildren(...elements(draft.picture));
    this.part("marks").replaceChildren(...elements(draft.marks));
    this.part("ink").replaceChildren();
    for (const trace of draft.ink) line(trace, this.part("ink"));
    this.part("live").replaceChildren();
    for (const change of this.waiting) if (change.trace) line(change.trace, this.part("live"));
    this.paper.classList.toggle("mending-points", this.mode === "mend");
    this.showPoints();
    this.showStrokes();
    for (const button of this.room.querySelectorAll("[data-mode]")) {
      button.setAttribute("aria-pressed", String(button.dataset.mode === this.mode));
    }
    const none = draft.strokes.length === 0;
    const off = {
      undo: !draft.undo, redo: !draft.redo, again: !draft.again, empty: none && draft.ink.length === 0,
      turn: none, earlier: none || this.stroke === 0, later: none || this.stroke === draft.strokes.length - 1,
      join: this.stroke >= draft.strokes.length - 1, split: none, remove: none, add_point: this.point === null, bend: this.point === null,
    };
    for (const [name, is] of Object.entries(off)) this.room.querySelector(`[data-do="${name}"]`).disabled = is;
    for (const name of ["mend", "rewrite"]) this.room.querySelector(`[data-mode="${name}"]`).disabled = none;
    for (const button of this.room.querySelectorAll("[data-nudge]")) button.disabled = this.point === null;
    this.part("error").value = String(draft.error);
    for (const field of this.room.querySelectorAll("[data-role]")) field.value = draft[field.dataset.role];
    this.part("told").textContent = this.told();
    this.room.querySelector('[data-mode="rewrite"]').textContent = none ? put(words.rewrite, { stroke: 1 }) : put(words.rewrite, { stroke: this.stroke + 1 });
    if (focused) this.room.querySelector(focused)?.focus({ preventScroll: true });
  }

  told() {
    const { draft, words } = this;
    const strokes = draft.strokes.length;
    if (this.mode === "rewrite") return put(words.toldRewrite, { stroke: this.stroke + 1 });
    if (strokes === 0) return words.toldNone;
    if (draft.tries === 1) return put(words.toldFirst, { strokes });
    if (draft.next !== null) return put(words.toldTry, { attempt: draft.tries, stroke: draft.next + 1, strokes });
    return put(words.toldWhole, { tries: draft.tries });
  }

  /** How to find again what has the focus, among what is drawn anew. */
  focusKey() {
    const key = document.activeElement?.dataset?.key;
    return key ? `[data-key="${key}"]` : "";
  }

  showPoints(points = this.draft.strokes[this.stroke]?.points) {
    const dots = this.part("points");
    const arms = this.part("arms");
    arms.replaceChildren();
    if (!points || this.mode !== "mend") {
      dots.replaceChildren();
      return;
    }
    const { straight } = this.draft.strokes[this.stroke];
    const shown = points.map((_, at) => at % 3 === 0 || !straight[Math.floor(at / 3)]);
    drawn("path", { d: outline(points), class: "outline" }, arms);
    points.forEach((place, at) => {
      if (at % 3 === 0 || !shown[at]) return;
      const [x1, y1] = place;
      const [x2, y2] = points[at % 3 === 1 ? at - 1 : at + 1];
      drawn("line", { x1: x1 * UNIT, y1: y1 * UNIT, x2: x2 * UNIT, y2: y2 * UNIT, class: "arm" }, arms);
    });
    const wanted = [...points.keys()].filter((at) => shown[at]);
    while (dots.children.length > wanted.length) dots.lastElementChild.remove();
    while (dots.children.length < wanted.length) drawn("circle", { tabindex: 0, role: "button" }, dots);
    wanted.forEach((at, place) => {
      const dot = dots.children[place];
      const isNode = at % 3 === 0;
      dot.dataset.at = at;
      dot.dataset.key = `point-${this.stroke}-${at}`;
      dot.setAttribute("cx", (points[at][0] * UNIT).toFixed(2));
      dot.setAttribute("cy", (points[at][1] * UNIT).toFixed(2));
      dot.setAttribute("r", isNode ? 9 : 8);
      dot.setAttribute("class", `point ${isNode ? "node" : "handle"}${at === this.point ? " chosen" : ""}`);
      dot.setAttribute("aria-label", this.pointName(at, points.length));
      dot.setAttribute("aria-pressed", String(at === this.point));
    });
    this.part("chosen-point").textContent = this.point === null ? this.words.noPoint : this.pointName(this.point, points.length);
  }

  pointName(at, points) {
    const words = at % 3 === 0 ? this.words.point : this.words.handle;
    return put(words, { stroke: this.stroke + 1, point: at + 1, points });
  }

  showStrokes() {
    const list = this.part("strokes");
    const { strokes } = this.draft;
    this.part("no-strokes").hidden = strokes.length > 0;
    while (list.children.length > strokes.length) list.lastElementChild.remove();
    while (list.children.length < strokes.length) list.append(this.strokeRow(list.children.length));
    strokes.forEach((stroke, at) => {
      const row = list.children[at];
      row.querySelector("[type=radio]").checked = at === this.stroke;
      const field = row.querySelector("[type=text]");
      if (field !== document.activeElement || field.dataset.kept === field.value) field.value = stroke.cue;
      field.dataset.kept = stroke.cue;
    });
  }

  strokeRow(at) {
    const row = document.createElement("li");
    const label = document.createElement("label");
    const choice = Object.assign(document.createElement("input"), { type: "radio", name: "stroke", value: String(at) });
    const cue = Object.assign(document.createElement("input"), { type: "text", autocomplete: "off", maxLength: Number(this.words.longest) });
    choice.dataset.key = `stroke-${at}`;
    cue.dataset.key = `cue-${at}`;
    label.append(choice, put(this.words.choose, { stroke: at + 1 }));
    cue.setAttribute("aria-label", put(this.words.cue, { stroke: at + 1 }));
    cue.setAttribute("aria-describedby", "cue-hint");
    choice.addEventListener("change", () => { this.settle(); this.choose(at, null); });
    cue.addEventListener("change", () => this.send({ do: "cue", stroke: at, cue: cue.value }));
    row.append(label, cue);
    return row;
  }

  // --- what is done

  listen() {
    this.room.addEventListener("click", (event) => {
      const button = event.target.closest("button");
      if (!button || !this.draft) return;
      const { do: name, mode, nudge } = button.dataset;
      if (name) this.act(name);
      else if (mode) this.turnTo(mode);
      else if (nudge) this.nudge(nudge, STEP);
      else if ("sendAgain" in button.dataset) {
        this.tell("", false);
        const next = () => this.next(); // whether or not the desk answers yet
        this.renew().then(next, next);
      }
    });
    this.part("error").addEventListener("change", (event) => this.send({ do: "error", error: Number(event.target.value) }));
    for (const field of this.room.querySelectorAll("[data-role]")) {
      field.addEventListener("change", () => this.send({ do: "role", ...this.role() }));
    }
    this.paper.addEventListener("pointerdown", (event) => this.down(event));
    this.part("points").addEventListener("focusin", (event) => this.pick(event.target));
    this.part("points").addEventListener("click", (event) => this.pick(event.target));
    this.part("points").addEventListener("keydown", (event) => this.key(event));
    document.addEventListener("keydown", (event) => this.shortcut(event));
    window.addEventListener("pagehide", () => this.settle());
    window.addEventListener("beforeunload", (event) => {
      this.settle();
      if (this.waiting.length > 0 && !this.sending) event.preventDefault(); // it was refused: it would be lost
    });
  }

  role() {
    return Object.fromEntries([...this.room.querySelectorAll("[data-role]")].map((field) => [field.dataset.role, field.value]));
  }

  act(name) {
    if (["undo", "redo", "again", "line", "empty"].includes(name)) this.send({ do: name });
    else if (["split", "add_point", "bend"].includes(name)) this.send({ do: name, stroke: this.stroke, point: this.point ?? 0 });
    else {
      const goal = { earlier: -1, later: 1 }[name] ?? 0;
      this.send({ do: name, stroke: this.stroke });
      this.stroke += goal;
    }
    if (name === "again" || name === "empty") this.turnTo("write");
    if (name === "line") this.turnTo("mend");
  }

  turnTo(mode) {
    this.mode = mode === this.mode && mode === "rewrite" ? "mend" : mode;
    this.show();
  }

  pick(dot) {
    const at = Number(dot.dataset.at);
    if (at === this.point) return;
    this.settle();
    this.point = at;
    this.show();
  }

  key(event) {
    const way = KEYS[event.key];
    if (!way) return;
    event.preventDefault();
    this.nudge(way, event.shiftKey ? FAR : STEP);
  }

  shortcut(event) {
    if (!(event.ctrlKey || event.metaKey) || event.target.matches("input, select, textarea")) return;
    const name = { z: event.shiftKey ? "redo" : "undo", y: "redo" }[event.key.toLowerCase()];
    if (!name || !this.draft?.[name]) return;
    event.preventDefault();
    this.send({ do: name });
  }

  /** Arrow keys move the chosen point at once; the desk hears of it when they rest. */
  nudge(way, step) {
    if (this.point === null) return;
    const points = this.nudged?.points ?? this.draft.strokes[this.stroke].points;
    const [across, down] = WAYS[way];
    // A move may be on its way still: the draft has the point where it was before.
    const sent = this.waiting.findLast((change) => change.do === "point" && change.stroke === this.stroke && change.point === this.point);
    const from = this.nudged?.to ?? sent?.to ?? points[this.point];
    const to = [from[0] + across * step, from[1] + down * step];
    clearTimeout(this.nudged?.timer);
    this.nudged = { points: shifted(points, this.point, to), stroke: this.stroke, point: this.point, to, timer: setTimeout(() => this.settle(), RESTS) };
    this.showPoints(this.nudged.points);
  }

  /** Send the moves of the arrow keys that are not sent yet. */
  settle() {
    if (!this.nudged) return;
    const { stroke, point, to, timer } = this.nudged;
    clearTimeout(timer);
    this.nudged = null;
    this.waiting.push({ do: "point", stroke, point, to });
    this.next();
  }

  // --- the pen

  place(event) {
    const at = new DOMPoint(event.clientX, event.clientY).matrixTransform(this.paper.getScreenCTM().inverse());
    return [Number((at.x / UNIT).toFixed(4)), Number((at.y / UNIT).toFixed(4))];
  }

  down(event) {
    if (!this.draft || event.button !== 0 || !event.isPrimary) return;
    event.preventDefault();
    if (this.mode === "mend") this.drag(event);
    else this.write(event);
  }

  follow(event, move, end) {
    this.paper.setPointerCapture(event.pointerId);
    const heard = new AbortController();
    const hear = (name, act) => this.paper.addEventListener(name, (next) => {
      if (next.pointerId === event.pointerId) act(next);
    }, { signal: heard.signal });
    hear("pointermove", (moved) => {
      const all = moved.getCoalescedEvents?.() ?? [];
      move(all.length > 0 ? all : [moved]);
    });
    hear("pointerup", () => { heard.abort(); end(true); });
    hear("pointercancel", () => { heard.abort(); end(false); });
  }

  write(event) {
    const trace = [this.place(event)];
    const shown = line(trace, this.part("live"));
    this.follow(event, (events) => {
      trace.push(...events.map((one) => this.place(one)));
      shown.setAttribute("points", trace.map((place) => place.map((at) => at * UNIT).join()).join(" "));
    }, (whole) => {
      if (!whole) {
        shown.remove();
        return;
      }
      const { stroke, mode } = this;
      this.mode = mode === "rewrite" ? "mend" : mode;
      this.send(mode === "rewrite" ? { do: "rewrite", stroke, trace } : { do: "write", trace });
    });
  }

  /** The point that is nearest to the pointer, first of the chosen stroke; else the nearest stroke is chosen. */
  drag(event) {
    this.settle();
    const scale = this.paper.getScreenCTM().a * UNIT; // px to the x-height
    const [x, y] = this.place(event);
    const far = (place) => Math.hypot(place[0] - x, place[1] - y) * scale;
    const dots = [...this.part("points").children].map((dot) => Number(dot.dataset.at));
    let { points } = this.draft.strokes[this.stroke];
    const at = dots.reduce((best, one) => (best === null || far(points[one]) < far(points[best]) ? one : best), null);
    if (at === null || far(points[at]) > GRAB) {
      this.chooseNear(x, y);
      return;
    }
    this.point = at;
    this.show();
    this.room.querySelector(`[data-key="point-${this.stroke}-${at}"]`).focus({ preventScroll: true });
    const off = [points[at][0] - x, points[at][1] - y];
    let to = null;
    const before = points;
    this.follow(event, (events) => {
      const [nextX, nextY] = this.place(events.at(-1));
      to = [nextX + off[0], nextY + off[1]];
      points = shifted(before, at, to);
      this.showPoints(points);
    }, (whole) => {
      if (whole && to) this.send({ do: "point", stroke: this.stroke, point: at, to });
      else this.show();
    });
  }

  chooseNear(x, y) {
    const gaps = this.draft.strokes.map(({ points }) => Math.min(...points.map((place) => Math.hypot(place[0] - x, place[1] - y))));
    this.choose(gaps.indexOf(Math.min(...gaps)), null);
  }
}

const room = document.querySelector("[data-writer]");
if (room) {
  const writer = new Writer(room);
  writer.begin().catch((error) => {
    console.error(error);
    writer.tell(room.dataset.unsent, false);
  });
}

// The trial takes some seconds: it is said at once, and a second click does not begin it again.
const said = document.querySelector("[data-trying]");
if (said) {
  const before = said.textContent;
  const show = (trying) => {
    said.textContent = trying ? said.dataset.trying : before;
    said.classList.toggle("trying", trying);
  };
  document.querySelector("[data-trial]")?.addEventListener("click", (event) => {
    if (event.ctrlKey || event.metaKey || event.shiftKey) return; // it opens in another tab or window
    if (said.classList.contains("trying")) event.preventDefault();
    show(true);
  });
  window.addEventListener("pageshow", () => show(false)); // back from the trial by the browser's own button
}
