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
        const why = error instanceof TypeError ? "The desk is not responding." : error.message;
        say("NOT SAVED: " + (lost > 1 ? "the last " + lost + " touches. " : "the last touch. ") + why, true);
      }
      if (!waiting.includes(button)) button.classList.remove("waiting");
    }
    busy = false;
  }

  // Several boxes are one touch: it makes them what the next touch on the first one would.
  function several(boxes) {
    const alike = boxes.every((one) => one.dataset.state === boxes[0].dataset.state);
    const turn = alike ? boxes[0].value.split(" ").slice(1).join(" ") : "wrong";
    const numbers = boxes.map((one) => one.id.slice(1)).join(",");
    return { name: "touch", value: numbers + " " + turn, classList: boxes[0].classList };
  }

  function take(touch) {
    waiting.push(touch);
    work();
  }

  form.addEventListener("submit", (event) => {
    const button = event.submitter;
    if (!button || button.value === "not handed in") return;
    event.preventDefault();
    const taken = [...form.querySelectorAll(".box[data-taken]")];
    take(taken.length && taken.includes(button) ? several(taken) : button);
  });

  // A page is turned when the record has every touch.
  async function turn(way) {
    const link = form.querySelector("a[rel=" + way + "]");
    if (!link) return;
    while (waiting.length) await new Promise((later) => window.setTimeout(later, 20));
    if (!said.classList.contains("alarm")) window.location.assign(link.href);
  }
  frames(form, (boxes) => take(several(boxes)));
  swipes(turn);

  // Another window may have marked the same sheet.
  async function look() {
    if (busy || document.hidden) return;
    try {
      const state = await ask(form.dataset.state, {});
      if (!busy) show(state);
    } catch {
      if (!busy) say("The desk is not responding; nothing can be marked now.", true);
    }
  }
  document.addEventListener("visibilitychange", look);
  window.addEventListener("focus", look);
  window.setInterval(look, 5000);
  window.addEventListener("beforeunload", (event) => { if (waiting.length) event.preventDefault(); });
  keys(form, turn, say);
}

// A frame drawn on the page takes all boxes that it touches; a finger draws one while the button
// is pressed, otherwise it moves the page.
function frames(form, take) {
  const page = form.querySelector(".page"), button = document.getElementById("frame");
  let start = null, frame = null;
  button.hidden = false;
  button.addEventListener("click", () => {
    const on = page.classList.toggle("framing");
    button.setAttribute("aria-pressed", on);
  });

  function at(event) {
    const edge = page.getBoundingClientRect();
    const within = (value, most) => Math.min(Math.max(value, 0), most);
    return [within(event.clientX - edge.left, edge.width), within(event.clientY - edge.top, edge.height)];
  }
  function draw(event) {
    const [x, y] = at(event);
    const [left, top] = [Math.min(x, start[0]), Math.min(y, start[1])];
    frame.style.left = left + "px";
    frame.style.top = top + "px";
    frame.style.width = Math.abs(x - start[0]) + "px";
    frame.style.height = Math.abs(y - start[1]) + "px";
  }
  function within() {
    const edge = frame.getBoundingClientRect();
    return [...form.querySelectorAll(".box")].filter((box) => {
      const own = box.getBoundingClientRect();
      return own.left < edge.right && own.right > edge.left && own.top < edge.bottom && own.bottom > edge.top;
    });
  }
  function end() {
    start = null;
    frame?.remove();
    frame = null;
  }

  page.addEventListener("pointerdown", (event) => {
    const draws = event.pointerType === "mouse" || page.classList.contains("framing");
    if (draws && event.isPrimary && event.button === 0) start = at(event);
  });
  page.addEventListener("pointermove", (event) => {
    if (!start) return;
    const [x, y] = at(event);
    if (!frame && Math.hypot(x - start[0], y - start[1]) < 8) return;
    if (!frame) {
      frame = document.createElement("div");
      frame.className = "frame";
      page.append(frame);
      page.setPointerCapture(event.pointerId);
    }
    draw(event);
  });
  page.addEventListener("pointerup", () => {
    if (frame) {
      const boxes = within();
      // the click that follows is the end of the frame, not a touch on a box
      const still = (click) => { click.preventDefault(); click.stopPropagation(); };
      page.addEventListener("click", still, { capture: true, once: true });
      window.setTimeout(() => page.removeEventListener("click", still, { capture: true }), 50);
      if (boxes.length) take(boxes);
    }
    end();
  });
  page.addEventListener("pointercancel", end);
  page.addEventListener("dragstart", (event) => event.preventDefault());
}

// A quick stroke to the side turns the page, where the page itself does not move that way.
function swipes(turn) {
  const scroll = document.querySelector(".scroll");
  let from = null;
  scroll.addEventListener("touchstart", (event) => {
    const one = event.touches.length === 1 ? event.touches[0] : null;
    const framing = scroll.querySelector(".framing");
    from = one && !framing ? [one.clientX, one.clientY, event.timeStamp, scroll.scrollLeft] : null;
  }, { passive: true });
  scroll.addEventListener("touchend", (event) => {
    if (!from) return;
    const end = event.changedTouches[0];
    const across = end.clientX - from[0], down = end.clientY - from[1];
    const quick = event.timeStamp - from[2] < 700 && Math.abs(scroll.scrollLeft - from[3]) < 4;
    from = null;
    if (quick && Math.abs(across) > 70 && Math.abs(down) < 40) turn(across < 0 ? "next" : "prev");
  }, { passive: true });
}

function keys(form, turn, say) {
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
    } else if (event.key === "Escape") {
      for (const one of boxes) delete one.dataset.taken;
      return;
    } else if (event.key === "n" || event.key === "p") {
      turn(event.key === "n" ? "next" : "prev");
    } else if (event.key === "u") { document.getElementById("undo").click(); event.preventDefault(); return; } else return;
    event.preventDefault();
    if (!next) return;
    if (event.shiftKey && event.key.startsWith("Arrow")) {
      const [first, last] = [place, boxes.indexOf(next)].sort((a, b) => a - b);
      for (const one of event.key === "ArrowLeft" || event.key === "ArrowRight" ? [box, next] : boxes.slice(first, last + 1)) one.dataset.taken = "";
    } else if (event.key.startsWith("Arrow")) for (const one of boxes) delete one.dataset.taken;
    next.focus();
    const taken = form.querySelectorAll(".box[data-taken]").length;
    if (taken) say(taken + " boxes taken");
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
      step.textContent = "The desk is not responding.";
    }
  }, 500);
}

// Whether a form is not as it came: typed in before the script was there, or filled in again by the
// browser. A list without a chosen entry shows its first.
function altered(form) {
  return [...form.elements].some((one) => {
    if (one.type === "checkbox" || one.type === "radio") return one.checked !== one.defaultChecked;
    if (one.type === "select-one") {
      const first = [...one.options].findLastIndex((option) => option.defaultSelected);
      return one.selectedIndex !== Math.max(first, 0);
    }
    if (one.type === "text") return one.value !== one.defaultValue.replace(/[\r\n]/g, "");
    return /^(textarea|date)$/.test(one.type) && one.value !== one.defaultValue;
  });
}

// What stands in a form is checked by the reader of all commands, a moment after each change.
// `show` gets the answer; what was changed and not saved is not left without a question.
function checks(form, state, show) {
  let timer = 0, number = 0, changed = "unsaved" in form.dataset;

  async function now() {
    const mine = ++number;
    changed = true;
    try {
      const answer = await fetch(form.dataset.check, {
        method: "POST", body: new URLSearchParams(new FormData(form)),
        headers: { Accept: "application/json" },
      });
      if (!answer.ok) throw new Error(await answer.text());
      const found = await answer.json();
      if (mine === number) show(found);
    } catch (error) {
      state.textContent = error instanceof TypeError ? "The desk is not responding." : error.message;
    }
  }
  function soon() {
    changed = true;
    window.clearTimeout(timer);
    timer = window.setTimeout(now, 300);
  }
  function begin() { if (!changed && altered(form)) now(); }

  form.addEventListener("input", soon);
  form.addEventListener("submit", () => { changed = false; });
  window.addEventListener("beforeunload", (event) => { if (changed) event.preventDefault(); });
  window.addEventListener("pageshow", begin);
  begin();
  return now;
}

function roster(form) {
  const state = document.getElementById("state"), all = document.getElementById("all");

  function line(one, row) {
    const told = document.createElement("p");
    told.textContent = one.told + " ";
    const inputs = [...form.querySelectorAll('[aria-describedby="p' + row + '"]')];
    for (const [column, text] of one.offers) {
      const offer = document.createElement("button");
      offer.type = "button";
      offer.className = "offer";
      offer.textContent = text;
      offer.addEventListener("click", () => put(inputs[column], text));
      told.append(offer, " ");
    }
    return told;
  }
  function put(input, text) {
    input.value = text;
    input.focus();
    check();
  }
  const check = checks(form, state, (found) => {
    for (const place of form.querySelectorAll(".said td")) {
      const row = place.id.slice(1), lines = found.rows[row] || [];
      place.replaceChildren(...lines.map((one) => line(one, row)));
    }
    all.hidden = !found.all.length;
    all.replaceChildren(...found.all.map((words) => line({ told: words, offers: [] }, "")));
    const wrong = Object.keys(found.rows).length;
    state.textContent = wrong || found.all.length ? "" : "No problems found; not saved yet.";
  });
  for (const offer of document.querySelectorAll(".offer")) {
    offer.addEventListener("click", () => put(form.elements[offer.dataset.cell], offer.dataset.text));
  }
}

// The example follows the settings.
function section(form) {
  const wrong = document.getElementById("wrong"), state = document.getElementById("state");
  checks(form, state, (found) => {
    const told = document.createElement("div");
    told.className = "alarm";
    told.setAttribute("role", "alert");
    told.append(...found.problems.map((words) => {
      const line = document.createElement("p");
      line.textContent = words;
      return line;
    }));
    wrong.replaceChildren(...(found.problems.length ? [told] : []));
    state.textContent = found.problems.length ? "" : "Not saved yet.";
    if (found.example) for (const picture of document.querySelectorAll("#example img")) {
      const face = picture.dataset.face;
      picture.src = "/example/" + found.example + "/" + face + ".png";
      picture.alt = picture.dataset.words + ": " + found.task;
    }
  });
}

const form = document.getElementById("marking");
if (form) marking(form);
const place = document.getElementById("running");
if (place) building(place);
const rows = document.getElementById("roster");
if (rows) roster(rows);
const settings = document.getElementById("section");
if (settings) section(settings);

// A new empty row when the last one is written in.
const students = document.getElementById("students");
if (students) students.addEventListener("input", () => {
  const all = students.querySelectorAll(".row"), last = all[all.length - 1];
  if (!last.querySelector("input").value || all.length >= 100) return;
  const row = last.cloneNode(true);
  const input = row.querySelector("input"), level = row.querySelector("select");
  input.value = "";
  input.name = "student" + all.length;
  level.name = "level" + all.length;
  level.value = last.querySelector("select").value;
  input.setAttribute("aria-label", "Student " + (all.length + 1));
  level.setAttribute("aria-label", "Level of student " + (all.length + 1));
  last.after(row);
});

// A digit goes to its note, and the next note waits for its own.
const fingers = document.getElementById("fingers");
if (fingers) {
  const all = [...fingers.querySelectorAll(".run input")];
  fingers.addEventListener("input", (event) => {
    const place = all.indexOf(event.target);
    if (/^[1-5]$/.test(event.target.value)) { all[place + 1]?.focus(); all[place + 1]?.select(); }
  });
  fingers.addEventListener("keydown", (event) => {
    const place = all.indexOf(event.target);
    const step = { ArrowRight: 1, ArrowLeft: -1 }[event.key];
    if (place < 0 || !step || !all[place + step]) return;
    event.preventDefault();
    all[place + step].focus();
    all[place + step].select();
  });
  document.getElementById("choose").addEventListener("change", (event) => event.currentTarget.requestSubmit());
}
