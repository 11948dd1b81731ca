// Plays a small picture of ink where it stands, by its own button. The page is whole without it: the
// picture shows all of the ink, and its caption leads to the page where it can be replayed.

import { Stage } from "./replay.js";

const less = window.matchMedia("(prefers-reduced-motion: reduce)");

class SmallReplay {
  constructor(room) {
    this.room = room;
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
      this.stage = new Stage(this.room.querySelector("[data-stage]"), ink.traces);
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
      this.stage.draw(Math.max(0, Math.min(time, this.duration)), time < this.duration);
      if (time < this.duration) this.frame = requestAnimationFrame(step);
    };
    this.frame = requestAnimationFrame(step);
  }

  /** Without motion each press shows one stroke more. */
  stroke() {
    this.shown = ((this.shown ?? 0) % this.traces.length) + 1;
    this.stage.draw(this.traces[this.shown - 1].t.at(-1), this.shown < this.traces.length);
  }
}

for (const room of document.querySelectorAll("[data-play-here]")) new SmallReplay(room);
