// The text of the sheet: the way to a line, and what is typed kept in the browser (Web Storage, WHATWG) until it is
// taken in, also when the page is left, loaded anew or the laptop is away.
"use strict";
const sheetText = (() => {
  const KEPT = "sheet-text";
  const read = () => { try { return JSON.parse(localStorage.getItem(KEPT) ?? "null"); } catch { return null; } };
  const forget = () => localStorage.removeItem(KEPT);
  let waiting = 0;
  const keep = (field) => {
    clearTimeout(waiting);
    waiting = setTimeout(() => {
      try { localStorage.setItem(KEPT, JSON.stringify({ of: document.body.dataset.book ?? "", text: field.value, at: Date.now() })); } catch { /* a full store keeps what it has */ }
    }, 300);
  };
  const goTo = (field, line, column) => {
    const lines = field.value.split("\n");
    let start = 0;
    for (let own = 0; own < line - 1 && own < lines.length; own += 1) start += lines[own].length + 1;
    const end = start + (lines[line - 1] ?? "").length;
    field.focus({ preventScroll: true });
    field.setSelectionRange(Math.min(start + column - 1, end), end);
    const high = parseFloat(getComputedStyle(field).lineHeight) || 20;
    field.scrollTop = Math.max(0, (line - 4) * high);
    field.scrollIntoView({ block: "center" });
  };
  document.addEventListener("click", (event) => {
    const button = event.target.closest?.("button[data-line]");
    const field = button && document.getElementById(button.dataset.in);
    if (field) goTo(field, Number(button.dataset.line), Number(button.dataset.column));
  });
  document.addEventListener("input", (event) => {
    if (event.target.id === "sheet-text") keep(event.target);
  });
  const button = (words, act) => {
    const own = document.createElement("button");
    own.type = "button";
    own.textContent = words;
    own.addEventListener("click", act);
    return own;
  };
  return (root) => {
    const field = root.querySelector?.("#sheet-text");
    const place = root.querySelector?.("#sheet-kept");
    if (!field || !place) return;
    const kept = read();
    if (!kept || kept.of !== (document.body.dataset.book ?? "")) return;
    if (kept.text === field.value) {
      // What holds now is what was typed: it was taken in.
      if (field.hasAttribute("data-holds")) forget();
      return;
    }
    if (!field.hasAttribute("data-holds")) return;
    const words = document.createElement("p");
    words.textContent = `What you typed here on ${new Date(kept.at).toLocaleString()} was not taken in. It is kept on this device.`;
    const away = () => { place.hidden = true; place.textContent = ""; };
    place.className = "notices";
    place.append(words,
      button("Bring it back", () => { field.value = kept.text; away(); field.focus(); }),
      button("Throw it away", () => { forget(); away(); }));
    place.hidden = false;
  };
})();
