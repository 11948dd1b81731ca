// Plays a small picture of ink where it stands, by its own button. The page is whole without it: the
// picture shows all of the ink, and its caption leads to the page where it can be replayed.

import { inkLine, penAt, written } from "./replay.js";

const less = window.matchMedia("(prefers-reduced-motion: reduce)");

class SmallReplay {
  constructor(room) {
    this.room = room;
    this.stage = room.querySelector("[data-stage]");
    this.unit = Number(this.stage.dataset.unit);
    this.pen = this.stage.querySelector("[data-pen]");
    this.button = room.querySelector("[data-play]");
    this.button.hidden = false;
    this.button.addEventListener("click", () => this.play());
  }

  async play() {
    if (!this.traces) {
      const answer = await fetch(this.room.dataset.ink);
      if (!answer.ok) {
        window.location = this.room.querySelector("a").href; // what went wrong is told there
        return;
      }
      const ink = await answer.json();
      this.traces = ink.traces;
      this.duration = ink.duration;
      const paper = this.stage.querySelector("[data-paper]");
      this.lines = this.traces.map(() => inkLine(paper, this.unit));
    }
    cancelAnimationFrame(this.frame);
    if (less.matches || this.room.dataset.motion === "off") this.stroke();
    else this.run();
  }

  /** The moving pen, at the speed that it had. */
  run() {
    const began = performance.now();
    const step = (now) => {
      const time = (now - began) / 1000;
      this.draw(Math.max(0, Math.min(time, this.duration)), time < this.duration);
      if (time < this.duration) this.frame = requestAnimationFrame(step);
    };
    this.frame = requestAnimationFrame(step);
  }

  /** Without motion each press shows one stroke more. */
  stroke() {
    this.shown = ((this.shown ?? 0) % this.traces.length) + 1;
    this.draw(this.traces[this.shown - 1].t.at(-1), this.shown < this.traces.length);
  }

  draw(time, playing) {
    const { at, down } = penAt(this.traces, time);
    this.stage.classList.toggle("replaying", playing);
    this.traces.forEach((trace, number) => this.lines[number](written(trace, time)));
    this.pen.setAttribute("cx", at[0] * this.unit);
    this.pen.setAttribute("cy", at[1] * this.unit);
    this.pen.classList.toggle("lifted", !down);
    this.stage.dataset.time = time.toFixed(3);
  }
}

for (const room of document.querySelectorAll("[data-play-here]")) new SmallReplay(room);
