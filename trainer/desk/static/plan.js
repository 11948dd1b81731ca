// Planned letters can be dragged by their grip. Buttons do the same without this file.
"use strict";

const form = document.getElementById("planned-letters");
const list = form.querySelector(".planned");

function send() {
  const order = [...list.children].map((item) => item.dataset.letter).join(" ");
  for (const [name, value] of [["do", "order"], ["letters", order]]) {
    const field = document.createElement("input");
    Object.assign(field, { type: "hidden", name, value });
    form.append(field);
  }
  form.submit();
}

function under(y, dragged) {
  return [...list.children].find((item) => {
    const box = item.getBoundingClientRect();
    return item !== dragged && y < box.top + box.height / 2;
  });
}

function drag(event) {
  const item = event.target.closest(".grip")?.closest("li");
  if (!item || event.button !== 0) return;
  event.preventDefault();
  const before = [...list.children];
  list.setPointerCapture(event.pointerId);
  item.classList.add("dragged");

  const ears = new AbortController();
  const hear = (name, act) => list.addEventListener(name, act, { signal: ears.signal });
  hear("pointermove", (moved) => {
    const next = under(moved.clientY, item) ?? null;
    if (item.nextElementSibling !== next) list.insertBefore(item, next);
  });
  const end = (put) => {
    ears.abort();
    item.classList.remove("dragged");
    put();
  };
  hear("pointerup", () => end(() => {
    if (before.some((one, place) => list.children[place] !== one)) send();
  }));
  hear("pointercancel", () => end(() => list.append(...before)));
}

if (list) {
  list.classList.add("movable");
  list.addEventListener("pointerdown", drag);
}
