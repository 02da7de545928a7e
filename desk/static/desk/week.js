"use strict";
// Keys, selection and totals of the week sheet. Without this script every form still works by itself.
(() => {
  const LITRES_PER_GALLON = 3.785411784;
  const sheet = document.getElementById("sheet");
  const keys = document.getElementById("keys");
  const notices = document.getElementById("notices");
  const many = document.getElementById("many");
  const picked = document.getElementById("picked");
  const all = document.getElementById("pick-all");
  let here = "";
  let lastPicked = "";
  let onItsWay = ""; // the line whose decision was sent and not answered yet
  let justDone = false; // until the next line is walked to, undo means what was done last
  let acting = null; // what was asked for last: { line, undo, swapped }

  const lines = () => (sheet ? [...sheet.querySelectorAll("tr.change")] : []);
  const current = () => document.getElementById(here);
  const box = (line) => line && line.querySelector(".pick input");
  const value = (line) => line && line.querySelector("input.value");
  const typed = (line) => value(line) && value(line).value !== value(line).dataset.proposed;
  const selected = () => lines().filter((line) => box(line) && box(line).checked);

  // ---------------------------------------------------------------- the line the keys act on
  function mark(line) {
    for (const other of lines()) other.classList.toggle("here", other === line);
    here = line ? line.id : "";
  }

  function go(line) {
    if (!line) return;
    mark(line);
    line.focus({ preventScroll: true });
    line.scrollIntoView({ block: "nearest" });
  }

  function step(by) {
    justDone = false;
    const list = lines();
    const at = list.indexOf(current());
    go(list[Math.min(Math.max(at < 0 ? 0 : at + by, 0), list.length - 1)]);
  }

  // ---------------------------------------------------------------- selection and its totals
  function pick(line, on) {
    if (box(line)) box(line).checked = on;
  }

  function pickRange() {
    const list = lines();
    const from = list.findIndex((line) => line.id === lastPicked);
    const to = list.indexOf(current());
    const some = from < 0 || to < 0 ? list : list.slice(Math.min(from, to), Math.max(from, to) + 1);
    for (const line of some) pick(line, true);
    tell();
  }

  function water(litres) {
    const us = sheet.dataset.units === "us";
    const big = !us && Math.abs(litres) >= 1000;
    const amount = us ? litres / LITRES_PER_GALLON : big ? litres / 1000 : litres;
    const digits = { maximumSignificantDigits: 3, signDisplay: "exceptZero" };
    const text = new Intl.NumberFormat("en-US", digits).format(amount).replace("-", "−");
    return `${text}\u00a0${us ? "gal" : big ? "m³" : "L"}`;
  }

  function money(list) {
    const currency = list[0].dataset.currency;
    if (list.some((line) => line.dataset.currency !== currency)) return "";
    const sum = list.reduce(
      (total, line) => total + Math.sign(line.dataset.litres) * Math.abs(line.dataset.money), 0);
    if (!sum) return "";
    const digits = Math.abs(sum) >= 20 ? 0 : 2;
    const text = Math.abs(sum).toLocaleString("en-US", { minimumFractionDigits: digits, maximumFractionDigits: digits });
    return ` · ${sum < 0 ? "saves" : "costs"} ${currency === "USD" ? `$${text}` : `${text} ${currency}`}`;
  }

  function tell() {
    if (!many) return;
    const list = selected();
    const button = many.querySelector("button.main");
    button.dataset.words ||= button.textContent;
    picked.dataset.words ||= picked.textContent;
    many.classList.toggle("some", list.length > 0);
    if (all) all.checked = list.length > 0 && list.length === lines().filter(box).length;
    if (!list.length) {
      picked.textContent = picked.dataset.words;
      button.textContent = button.dataset.words;
      return;
    }
    const litres = list.reduce((sum, line) => sum + Number(line.dataset.litres), 0);
    const dry = list.filter((line) => line.dataset.dry === "1").length;
    const plants = dry ? `${dry} still leave${dry === 1 ? "s" : ""} plants dry` : "no plants go dry";
    picked.textContent = `${list.length} selected · ${water(litres)}${money(list)} · ${plants}`;
    if (!many.action.includes("/approve/")) {
      button.textContent = `Mark ${list.length} as entered`;
      return;
    }
    const own = list.filter(typed).length;
    button.textContent = own ? `Approve ${list.length}, ${own} with your value` : `Approve ${list.length} as proposed`;
  }

  function wording(line) {
    const yes = line && line.querySelector("button.yes");
    if (yes) yes.textContent = typed(line) ? `Approve ${value(line).value} %` : "Approve";
    if (line) line.classList.toggle("typed", Boolean(typed(line)));
    tell();
  }

  // ---------------------------------------------------------------- what the keys do
  function openNote(details) {
    if (!details) return;
    details.open = true;
    details.querySelector("[name=note]").focus();
  }

  const KEYS = {
    j: () => step(1),
    k: () => step(-1),
    x() {
      const line = current();
      if (!box(line)) return;
      pick(line, !box(line).checked);
      lastPicked = line.id;
      tell();
    },
    X: pickRange,
    e() {
      const input = value(current());
      if (input) input.select();
    },
    w() {
      const link = current() && current().querySelector("a.name");
      if (link) link.click();
    },
    a() {
      if (selected().length) return many.requestSubmit(many.querySelector("button.main"));
      const yes = current() && current().querySelector("button.yes");
      return yes && yes.form.requestSubmit(yes);
    },
    d() {
      openNote(selected().length ? many.querySelector("details") : current() && current().querySelector("details.no"));
    },
    u() {
      const last = notices.querySelector("[data-undo] button");
      const own = current() && current().querySelector("button.undo");
      const button = justDone ? last || own : own || last;
      if (button) button.form.requestSubmit(button);
    },
    "/": () => document.querySelector("main input[type=search]").select(),
    "?": () => keys.showModal(),
  };

  const writes = (element) => element.matches("textarea, select, input:not([type=checkbox]):not([type=hidden])");

  document.addEventListener("keydown", (event) => {
    if (event.key === "Escape") return leave(event);
    if (event.key === "Enter" && event.target.matches("textarea[name=note]") && !event.shiftKey) {
      event.preventDefault();
      return event.target.closest("details").querySelector("button").click();
    }
    if (event.ctrlKey || event.metaKey || event.altKey || !keys || keys.open || writes(event.target)) return;
    if (!KEYS[event.key] || !document.getElementById("keys-on").checked) return;
    event.preventDefault();
    // A key held down walks, but decides once; and nothing is decided on a line whose answer is still on its way.
    if (!"jk".includes(event.key) && (event.repeat || (here && onItsWay === here))) return;
    KEYS[event.key]();
  });

  // A message about a value that was given up has nothing left to say.
  function calm(line) {
    line.classList.remove("told");
    value(line).removeAttribute("aria-invalid");
    const words = line.querySelector("td.percent .error");
    if (words) words.remove();
  }

  function leave(event) {
    const line = current();
    if (event.target.matches("input.value")) {
      event.target.value = event.target.dataset.proposed;
      wording(line);
      calm(line);
    }
    const open = event.target.closest("details[open]");
    if (open) open.open = false;
    if (line && (open || writes(event.target))) go(line);
  }

  // ---------------------------------------------------------------- pointer and typing
  document.addEventListener("focusin", (event) => {
    const line = event.target.closest("tr.change");
    if (line) mark(line);
  });

  document.addEventListener("input", (event) => {
    if (event.target.matches("input.value")) wording(event.target.closest("tr"));
  });

  document.addEventListener("change", (event) => {
    if (event.target === all) for (const line of lines()) pick(line, all.checked);
    if (event.target.matches(".pick input")) {
      const line = event.target.closest("tr.change");
      if (line) lastPicked = line.id;
      tell();
    }
    if (event.target.id === "keys-on") localStorage.setItem("bluestem-keys", event.target.checked ? "on" : "off");
  });

  document.addEventListener("submit", (event) => {
    if (event.target !== many) return;
    for (const old of many.querySelectorAll("input.typed")) old.remove();
    for (const line of selected().filter(typed)) {
      const input = document.createElement("input");
      Object.assign(input, { type: "hidden", className: "typed", name: `value-${box(line).value}`, value: value(line).value });
      many.append(input);
    }
  }, true);

  // ---------------------------------------------------------------- after the service answered
  document.addEventListener("htmx:beforeRequest", (event) => {
    onItsWay = here;
    acting = { line: here, undo: event.detail.elt.matches("[data-undo]"), swapped: [] };
  });

  document.addEventListener("htmx:beforeSwap", (event) => {
    if (event.detail.xhr.status < 400) justDone = true;
    onItsWay = "";
  });

  document.addEventListener("htmx:oobAfterSwap", (event) => {
    const line = event.detail.target;
    if (acting && line && line.matches("tr.change")) acting.swapped.push(line.id);
  });

  document.addEventListener("htmx:afterSettle", () => {
    if (!acting) return;
    const done = acting;
    acting = null;
    const line = document.getElementById(done.undo ? done.swapped[0] : done.line);
    const wrong = done.swapped.map((id) => document.querySelector(`#${id} [aria-invalid=true]`)).find(Boolean);
    if (wrong) {
      mark(wrong.closest("tr"));
      wrong.focus();
    } else if (line && done.swapped.includes(line.id)) {
      const list = lines();
      const next = list.slice(list.indexOf(line)).find((other) => other.matches(".pending:not(.told)"));
      go(line.matches(".pending, .told") ? line : next || line);
    }
    tell();
  });

  const FAILED = {
    "htmx:sendError": "That did not reach the service; nothing was changed. Try again when the line is back.",
    "htmx:responseError": "The service did not take that. Reload the page to see how things stand, then try again.",
  };
  for (const [name, told] of Object.entries(FAILED)) {
    document.addEventListener(name, () => {
      acting = null;
      onItsWay = "";
      const words = document.createElement("p");
      words.textContent = told;
      const notice = document.createElement("div");
      notice.className = "notice warning";
      notice.append(words);
      notices.replaceChildren(notice);
    });
  }

  // ---------------------------------------------------------------- at the start
  for (const element of document.querySelectorAll(".scripted")) element.hidden = false;
  const open = document.getElementById("open-keys");
  if (open) open.addEventListener("click", () => keys.showModal());
  const on = document.getElementById("keys-on");
  if (on) on.checked = localStorage.getItem("bluestem-keys") !== "off";
  for (const line of lines()) if (typed(line)) wording(line);
  tell();
  const named = location.hash.startsWith("#change-") && document.getElementById(location.hash.slice(1));
  if (named) go(named);
})();
