// Replays an attempt: where the pen was at each moment, at the speed that it had.
//
// The page is whole without this script: it shows the ink in still. The script fetches the ink with its
// times, and shows the controls once it has them. Nothing moves before a person asks for it.

const SVG = "http://www.w3.org/2000/svg";
const STEPS = { ArrowLeft: -1 / 60, ArrowRight: 1 / 60 }; // seconds: a screen that is written on tells so often
const TIMES = { half: 0.5, true: 1, double: 2 };

/** The index of the last sample at or before `time`; -1 before the first. */
function sampleAt(trace, time) {
  let low = 0;
  let high = trace.t.length;
  while (low < high) {
    const middle = (low + high) >> 1;
    if (trace.t[middle] <= time) low = middle + 1;
    else high = middle;
  }
  return low - 1;
}

/** Between two places, `share` of the way. */
function between(from, to, share) {
  return [from[0] + share * (to[0] - from[0]), from[1] + share * (to[1] - from[1])];
}

function place(trace, time) {
  const before = sampleAt(trace, time);
  if (before < 0) return trace.at[0];
  if (before === trace.t.length - 1) return trace.at[before];
  const span = trace.t[before + 1] - trace.t[before];
  return between(trace.at[before], trace.at[before + 1], (time - trace.t[before]) / span);
}

/** Which stroke is due at `time`, where the pen is, and whether it is down; in the air it glides. */
function penAt(traces, time) {
  for (const [index, trace] of traces.entries()) {
    if (time > trace.t.at(-1)) continue;
    if (time >= trace.t[0] || index === 0) return { index, at: place(trace, time), down: true };
    const lifted = traces[index - 1];
    const air = trace.t[0] - lifted.t.at(-1);
    const share = (time - lifted.t.at(-1)) / air;
    return { index, at: between(lifted.at.at(-1), trace.at[0], share), down: false };
  }
  return { index: traces.length - 1, at: traces.at(-1).at.at(-1), down: true };
}

/** What is on the paper at `time`: the places of each stroke so far. */
function written(trace, time) {
  const before = sampleAt(trace, time);
  if (before < 0) return [];
  const places = trace.at.slice(0, before + 1);
  if (before < trace.t.length - 1) places.push(place(trace, time));
  if (places.length === 1) places.push(places[0]); // a line of no length is drawn as a dot
  return places;
}

function inkLine(paper, unit, hollow) {
  const lines = ["replay-line", ...(hollow ? ["replay-core"] : [])].map((name) => {
    const line = document.createElementNS(SVG, "polyline");
    line.setAttribute("class", name);
    paper.append(line);
    return line;
  });
  return (places) => {
    for (const line of lines) line.setAttribute("points", places.map((at) => at.map((along) => Number((along * unit).toFixed(2))).join()).join(" "));
  };
}

/** A picture of ink over which its traces are written once more. */
export class Stage {
  constructor(svg, traces) {
    this.svg = svg;
    this.traces = traces;
    this.unit = Number(svg.dataset.unit);
    this.pen = svg.querySelector("[data-pen]");
    const paper = svg.querySelector("[data-paper]");
    const hollow = (svg.dataset.hollow ?? "").split(" ");
    this.lines = traces.map((_, number) => inkLine(paper, this.unit, hollow.includes(String(number))));
  }

  /** Show what is written at `time`, with the pen while it is `playing`; tells which stroke is due. */
  draw(time, playing) {
    const { index, at, down } = penAt(this.traces, time);
    this.svg.classList.toggle("replaying", playing);
    this.traces.forEach((trace, number) => this.lines[number](written(trace, time)));
    this.pen.setAttribute("cx", at[0] * this.unit);
    this.pen.setAttribute("cy", at[1] * this.unit);
    this.pen.classList.toggle("lifted", !down);
    this.svg.dataset.time = time.toFixed(3);
    return index;
  }
}

class Replay {
  constructor(room, ink) {
    this.room = room;
    this.traces = ink.traces;
    this.duration = ink.duration;
    this.time = ink.duration; // at first everything is there, as it is without the script
    this.goal = ink.duration;
    this.rate = 1;
    this.playing = false;
    this.stage = new Stage(room.querySelector("[data-stage]"), ink.traces);
    if (room.dataset.model) {
      const model = JSON.parse(room.dataset.model);
      this.model = new Stage(room.querySelector("[data-model-room] [data-stage]"), model.traces);
      this.modelDuration = model.duration;
    }
    this.button = (name) => room.querySelector(`[data-do="${name}"]`);
    this.scrub = this.button("scrub");
    this.spoken = room.querySelector("[data-told]");
    this.less = window.matchMedia("(prefers-reduced-motion: reduce)");
    this.listen();
    this.settle();
  }

  /** Whether strokes are shown whole, one after the other, in place of a moving pen. */
  get still() {
    return this.less.matches || this.room.dataset.motion === "off";
  }

  listen() {
    this.scrub.max = String(this.duration);
    this.scrub.addEventListener("input", () => this.go(Number(this.scrub.value)));
    this.button("play").addEventListener("click", () => this.toggle());
    this.button("next").addEventListener("click", () => this.next());
    this.button("previous").addEventListener("click", () => this.previous());
    for (const choice of this.room.querySelectorAll("[name=speed]")) {
      choice.addEventListener("change", () => { this.rate = TIMES[choice.value]; });
      if (choice.checked) this.rate = TIMES[choice.value]; // the browser keeps a choice over a reload
    }
    this.less.addEventListener("change", () => this.settle());
    document.addEventListener("keydown", (event) => this.step(event));
  }

  /** One step of the pen by an arrow key, wherever the focus is but in a field, which has uses of its own. */
  step(event) {
    const seconds = STEPS[event.key];
    if (!seconds || event.altKey || event.ctrlKey || event.metaKey) return;
    if (event.target.closest("input:not([data-do]), textarea, select")) return;
    event.preventDefault();
    this.go(this.time + seconds);
  }

  /** Show the controls that go with the wish for more or less motion. */
  settle() {
    this.pause();
    for (const moving of this.room.querySelectorAll("[data-moving]")) moving.hidden = this.still;
    for (const calm of this.room.querySelectorAll("[data-still]")) calm.hidden = !this.still;
    this.room.querySelector("[data-controls]").hidden = false;
    this.draw();
  }

  toggle() {
    if (this.playing) {
      this.pause();
      this.draw();
    } else {
      this.play(this.duration);
    }
  }

  play(goal) {
    if (this.time >= this.duration) this.time = 0;
    this.goal = goal;
    this.playing = true;
    this.draw();
    let before = null;
    const step = (now) => {
      if (!this.playing || goal !== this.goal) return;
      if (before !== null) this.time = Math.min(this.goal, this.time + (this.rate * (now - before)) / 1000);
      before = now;
      if (this.time >= this.goal) this.playing = false;
      this.draw();
      if (this.playing) this.frame = requestAnimationFrame(step);
    };
    cancelAnimationFrame(this.frame);
    this.frame = requestAnimationFrame(step);
  }

  pause() {
    this.playing = false;
    cancelAnimationFrame(this.frame);
  }

  go(time) {
    this.pause();
    this.time = Math.max(0, Math.min(this.duration, time));
    this.draw();
  }

  /** The lift of the stroke that comes next, or of the first one when all are written. */
  next() {
    const from = this.time >= this.duration ? -1 : this.time;
    const goal = this.traces.map((trace) => trace.t.at(-1)).find((lift) => lift > from) ?? this.duration;
    if (this.still) {
      this.go(goal);
      return;
    }
    this.pause();
    this.time = this.traces.find((trace) => trace.t.at(-1) === goal).t[0];
    this.play(goal);
  }

  /** One stroke back: to where this stroke began, or the one before it. */
  previous() {
    const lifts = [0, ...this.traces.map((trace) => trace.t.at(-1))];
    const stops = this.still ? lifts : this.traces.map((trace) => trace.t[0]);
    this.go(stops.findLast((stop) => stop < this.time) ?? 0);
  }

  draw() {
    const done = this.time >= this.duration && !this.playing;
    const index = this.stage.draw(this.time, !done);
    const share = this.duration ? this.time / this.duration : 1;
    this.model?.draw(share * this.modelDuration, !done); // both pens begin and end together
    this.scrub.value = String(this.time);
    const words = this.room.dataset;
    const caption = done
      ? words.done
      : words.stroke.replace("{stroke}", index + 1).replace("{strokes}", this.traces.length);
    if (this.spoken.textContent !== caption) this.spoken.textContent = caption;
    const moment = words.moment.replace("{time}", this.time.toFixed(1)).replace("{stroke}", caption);
    this.scrub.setAttribute("aria-valuetext", moment);
    this.button("play").textContent = this.playing ? words.pause : words.play;
  }
}

async function begin(room) {
  const answer = await fetch(room.dataset.ink);
  if (!answer.ok) throw new Error(`${room.dataset.ink}: ${answer.status}`);
  new Replay(room, await answer.json());
}

const room = document.querySelector("[data-replay]");
if (room) {
  begin(room).catch((error) => {
    console.error(error);
    room.querySelector("[data-trouble]").hidden = false;
  });
}
