// Marks are sent one after another; each is in the record before the next is sent.
"use strict";

function marking(form) {
  const said = document.getElementById("said");
  const waiting = [];
  let busy = false;

  function say(words, alarm) {
    said.textContent = words;
    said.className = alarm ? "alarm" : "";
    said.setAttribute("role", alarm ? "alert" : "status");
  }

  function show(state) {
    for (const box of form.querySelectorAll(".box")) {
      const [outcome, turn, label, sign] = state.boxes[box.id.slice(1)];
      box.dataset.state = outcome;
      box.value = box.id.slice(1) + " " + turn;
      box.setAttribute("aria-label", label);
      box.querySelector(".sign").textContent = sign;
    }
    document.getElementById("points").replaceChildren(...state.points.map(([letter, points, full]) => {
      const part = document.createElement("span");
      const of = document.createElement("small");
      of.textContent = " of " + full;
      part.append(letter + " " + points, of);
      return part;
    }));
    document.getElementById("total").textContent = state.total;
    document.getElementById("left").textContent =
      state.left ? state.left + " boxes are not marked." : "";
    document.getElementById("undo").disabled = !state.undo;
    document.getElementById("rest").disabled = !state.left;
  }

  async function ask(address, options) {
    const answer = await fetch(address, { ...options, headers: { Accept: "application/json" } });
    if (!answer.ok) throw new Error(await answer.text());
    return answer.json();
  }

  async function work() {
    if (busy) return;
    busy = true;
    while (waiting.length) {
      const button = waiting[0];
      button.classList.add("waiting");
      say("saving …");
      try {
        const body = new URLSearchParams([[button.name, button.value]]);
        show(await ask(form.action, { method: "POST", body }));
        waiting.shift();
        for (const name of ["fresh", "gone"]) document.getElementById(name)?.remove();
        if (!waiting.length) say("saved");
      } catch (error) {
        const lost = waiting.length;
        for (const one of waiting.splice(0)) one.classList.remove("waiting");
        const why = error instanceof TypeError ? "The desk does not answer." : error.message;
        say("NOT SAVED: " + (lost > 1 ? "the last " + lost + " touches. " : "the last touch. ") + why, true);
      }
      if (!waiting.includes(button)) button.classList.remove("waiting");
    }
    busy = false;
  }

  form.addEventListener("submit", (event) => {
    const button = event.submitter;
    if (!button || button.value === "not handed in") return;
    event.preventDefault();
    waiting.push(button);
    work();
  });

  // Another window may have marked the same sheet.
  async function look() {
    if (busy || document.hidden) return;
    try {
      const state = await ask(form.dataset.state, {});
      if (!busy) show(state);
    } catch {
      if (!busy) say("The desk does not answer; nothing can be marked now.", true);
    }
  }
  document.addEventListener("visibilitychange", look);
  window.addEventListener("focus", look);
  window.setInterval(look, 5000);
  window.addEventListener("beforeunload", (event) => { if (waiting.length) event.preventDefault(); });
  keys(form);
}

function keys(form) {
  const boxes = [...form.querySelectorAll(".box")];
  let typed = "", last = 0;

  // The nearest box above or below, measured more strictly sideways.
  function near(box, down) {
    const middle = (one) => { const r = one.getBoundingClientRect(); return [r.x + r.width / 2, r.y + r.height / 2, r.height]; };
    const [x, y, height] = middle(box);
    let best = null, least = Infinity;
    for (const one of boxes) {
      const [left, top] = middle(one);
      const step = down ? top - y : y - top;
      if (step < height / 2) continue;
      const far = step + 0.3 * Math.abs(left - x);
      if (far < least) { least = far; best = one; }
    }
    return best;
  }

  form.addEventListener("keydown", (event) => {
    const box = event.target.closest(".box");
    if (!box || event.ctrlKey || event.altKey || event.metaKey) return;
    const place = boxes.indexOf(box);
    let next = null;
    if (event.key === "ArrowRight") next = boxes[place + 1];
    else if (event.key === "ArrowLeft") next = boxes[place - 1];
    else if (event.key === "ArrowDown") next = near(box, true);
    else if (event.key === "ArrowUp") next = near(box, false);
    else if (/^[0-9]$/.test(event.key)) {
      typed = (event.timeStamp - last < 1000 ? typed : "") + event.key;
      last = event.timeStamp;
      next = boxes.find((one) => one.dataset.place.startsWith(typed + "."));
    } else if (event.key === "u") { document.getElementById("undo").click(); event.preventDefault(); return; } else return;
    event.preventDefault();
    if (next) next.focus();
  });
}

function building(place) {
  const bar = document.getElementById("bar"), step = document.getElementById("step");
  window.setInterval(async () => {
    try {
      const state = await (await fetch("/build", { headers: { Accept: "application/json" } })).json();
      if (!state.running) { window.location.reload(); return; }
      step.textContent = state.step;
      if (state.of) { bar.max = state.of; bar.value = state.done; }
    } catch {
      step.textContent = "The desk does not answer.";
    }
  }, 500);
}

const form = document.getElementById("marking");
if (form) marking(form);
const place = document.getElementById("running");
if (place) building(place);
