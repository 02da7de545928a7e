"use strict";
// The grid like a spreadsheet: moving, filling down, pasting a block; on a phone one zone at a time.
(() => {
  const grid = document.getElementById("grid");
  if (!grid) return;
  const body = grid.tBodies[0];
  const kinds = JSON.parse(document.getElementById("kind-texts")?.textContent || "{}");
  const fresh = document.getElementById("fresh");
  const fields = (row) => [...row.querySelectorAll("td :is(input:not([type=hidden]), select)")];
  const rows = () => [...body.rows];

  // ---------------------------------------------------------------- moving
  function move(cell, down, right) {
    const row = cell.closest("tr");
    const column = fields(row).indexOf(cell);
    const target = rows()[rows().indexOf(row) + down];
    const next = target && fields(target)[column + right];
    if (!next) return false;
    next.focus();
    if (next.select && next.tagName === "INPUT") next.select();
    return true;
  }
  const atEnd = (cell, right) =>
    cell.tagName === "SELECT" || (cell.selectionStart === cell.selectionEnd || (cell.selectionStart === 0 && cell.selectionEnd === cell.value.length))
      && (right > 0 ? cell.selectionEnd === cell.value.length : cell.selectionStart === 0);
  body.addEventListener("keydown", (event) => {
    const cell = event.target;
    if (!cell.matches("input, select") || event.altKey || event.metaKey) return;
    const key = event.key;
    let done = false;
    if (event.ctrlKey && key.toLowerCase() === "d") done = above(cell) || true;
    else if (event.ctrlKey) return;
    else if (key === "Enter") done = move(cell, event.shiftKey ? -1 : 1, 0) || true;
    else if (cell.tagName === "INPUT" && key === "ArrowDown") done = move(cell, 1, 0);
    else if (cell.tagName === "INPUT" && key === "ArrowUp") done = move(cell, -1, 0);
    else if (key === "ArrowRight" && atEnd(cell, 1)) done = move(cell, 0, 1);
    else if (key === "ArrowLeft" && atEnd(cell, -1)) done = move(cell, 0, -1);
    if (done) event.preventDefault();
  });
  function above(cell) {
    const row = cell.closest("tr");
    const before = rows()[rows().indexOf(row) - 1];
    if (!before) return false;
    put(cell, fields(before)[fields(row).indexOf(cell)].value);
    return true;
  }

  // ---------------------------------------------------------------- what a kind fills in
  function put(cell, text) {
    cell.value = text;
    cell.dispatchEvent(new Event("change", { bubbles: true }));
  }
  body.addEventListener("change", (event) => {
    const cell = event.target;
    if (cell.tagName === "SELECT" && cell.dataset.key) cell.classList.toggle("filled", !cell.value);
    if (!("kind" in cell.dataset)) return;
    const said = kinds[cell.value] || {};
    for (const one of cell.closest("tr").querySelectorAll("[data-key]")) {
      const words = said[one.dataset.key] || "";
      if (one.tagName === "SELECT") one.options[0].text = words || "–";
      else one.placeholder = words;
    }
  });

  // ---------------------------------------------------------------- pasting a block
  const plain = (text) => text.toLowerCase().replace(/[^a-z0-9]/g, "");
  function write(cell, text) {
    text = text.trim();
    if (cell.tagName !== "SELECT") { cell.value = text.replace(/\s*%$/, ""); return true; }
    const wanted = plain(text);
    const options = [...cell.options];
    const found = options.find((o) => plain(o.value) === wanted || plain(o.text) === wanted)
      || (wanted && options.slice(1).find((o) => plain(o.text).startsWith(wanted)));
    cell.value = found ? found.value : "";
    cell.classList.toggle("filled", !cell.value);
    return Boolean(found) || !text;
  }
  function another() {
    if (!fresh) return null;
    const places = rows().map((row) => Number(row.dataset.place));
    const place = Math.max(-1, ...places) + 1;
    const row = document.createElement("tbody");
    const copy = fresh.content.querySelector("tr").cloneNode(true);
    for (const one of copy.querySelectorAll("[name]")) one.name = one.name.replace("NEW", place);
    copy.querySelector("[name=row]").value = place;
    copy.dataset.place = place;
    const keys = rows().map((r) => Number(r.querySelector(`[name='${r.dataset.place}-k']`).value) || 0);
    copy.querySelector(`[name='${place}-k']`).value = Math.max(0, ...keys) + 1;
    const numbers = rows().map((r) => Number(r.querySelector(`[name='${r.dataset.place}-number']`).value) || 0);
    copy.querySelector(`[name='${place}-number']`).value = Math.max(0, ...numbers) + 1;
    copy.querySelectorAll("td.act > *").forEach((one) => one.remove());
    row.append(copy);
    body.append(copy);
    return copy;
  }
  function block(text) {
    const lines = text.replace(/\r\n?/g, "\n").replace(/\n$/, "").split("\n");
    return lines.slice(0, 200).map((line) => line.split("\t").map((cell) => cell.replace(/^"(.*)"$/s, "$1").replace(/""/g, '"')));
  }
  body.addEventListener("paste", (event) => {
    const cell = event.target;
    const text = event.clipboardData.getData("text/plain");
    if (!cell.matches("input, select") || !/[\t\n]/.test(text.replace(/\n$/, ""))) return;
    event.preventDefault();
    const first = rows().indexOf(cell.closest("tr"));
    const column = fields(cell.closest("tr")).indexOf(cell);
    let unread = 0;
    block(text).forEach((line, n) => {
      const row = rows()[first + n] || another();
      if (!row) return;
      line.forEach((word, m) => {
        const target = fields(row)[column + m];
        if (target && !write(target, word)) unread += 1;
      });
    });
    cell.dispatchEvent(new Event("change", { bubbles: true }));
    if (unread) alertLine(`${unread} pasted ${unread === 1 ? "word isn't" : "words aren't"} among those offered; ${unread === 1 ? "its cell was" : "their cells were"} left empty.`);
  });
  function alertLine(words) {
    let line = document.getElementById("pasted");
    if (!line) {
      line = document.createElement("p");
      line.id = "pasted";
      line.className = "error";
      line.setAttribute("role", "alert");
      grid.parentElement.before(line);
    }
    line.textContent = words;
  }

  // ---------------------------------------------------------------- one card at a time
  const bar = document.querySelector(".one-card");
  if (!bar) return;
  const narrow = matchMedia("(max-width: 56rem)");
  const place = `bluestem-card-${location.pathname}${location.search}`;
  let now = Math.min(Number(sessionStorage.getItem(place)) || 0, rows().length - 1);
  function show() {
    body.classList.toggle("cards", narrow.matches);
    bar.hidden = !narrow.matches || rows().length < 2;
    rows().forEach((row, n) => row.classList.toggle("now", n === now));
    bar.querySelector("[role=status]").textContent = `${now + 1} of ${rows().length}`;
    const [before, after] = bar.querySelectorAll("button");
    before.disabled = now <= 0;
    after.disabled = now >= rows().length - 1;
    sessionStorage.setItem(place, now);
  }
  bar.addEventListener("click", (event) => {
    const by = Number(event.target.dataset.card);
    if (!by) return;
    now = Math.max(0, Math.min(rows().length - 1, now + by));
    show();
  });
  narrow.addEventListener("change", show);
  show();
})();
