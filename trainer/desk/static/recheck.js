// Old ink judged again: asks for one batch after the other and moves the bar. Without it the button goes on.
"use strict";

const form = document.querySelector("[data-recheck]");
const bar = form.querySelector("progress");
const shown = form.querySelector(".progress");
const count = shown.querySelector("span");
const [start, stop] = form.querySelectorAll("button");
let stopped = false;

async function judge() {
  start.disabled = true;
  shown.hidden = stop.hidden = false;
  stop.focus();
  while (!stopped) {
    const answer = await fetch(form.action, {
      method: "POST",
      headers: { Accept: "application/json" },
      body: new FormData(form),
    });
    if (!answer.ok || !answer.headers.get("Content-Type").startsWith("application/json")) break;
    const { done, total, finished } = await answer.json();
    if (finished) break;
    bar.max = total;
    bar.value = done;
    count.textContent = `${done} / ${total}`;
  }
  if (!stopped) location.reload();
}

form.addEventListener("submit", (event) => {
  if (event.submitter === stop) {
    stopped = true; // the form itself is sent, once what is being judged is done
    return;
  }
  event.preventDefault();
  judge();
});
