// The place of a tube on the photograph: by a tap, by the arrow keys, by four buttons. The two figures of the form
// follow the cross, and the cross follows the figures.
"use strict";
globalThis.chassis = (drawing) => {
  const form = drawing.closest("main").querySelector("form.place");
  const cross = drawing.querySelector(".cross");
  if (!form || !cross) return;
  const [across, down] = [form.elements.namedItem("across"), form.elements.namedItem("down")];
  const within = (percent) => Math.min(100, Math.max(0, percent));
  const show = () => {
    for (const [side, field] of [["x", across], ["y", down]]) {
      const percent = Number(field.value.replace(",", "."));
      if (field.value.trim() && Number.isFinite(percent)) cross.setAttribute(side, `${within(percent)}%`);
    }
  };
  const put = (right, lower) => {
    across.value = within(right).toFixed(1);
    down.value = within(lower).toFixed(1);
    for (const field of [across, down]) field.dispatchEvent(new Event("input", { bubbles: true }));
    show();
  };
  const move = (right, lower) => put((Number(across.value) || 0) + right, (Number(down.value) || 0) + lower);
  drawing.addEventListener("click", (event) => {
    const place = drawing.getBoundingClientRect();
    put(100 * (event.clientX - place.left) / place.width, 100 * (event.clientY - place.top) / place.height);
  });
  drawing.parentElement.addEventListener("keydown", (event) => {
    const way = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] }[event.key];
    if (!way) return;
    event.preventDefault();
    move(way[0] * (event.shiftKey ? 5 : 1), way[1] * (event.shiftKey ? 5 : 1));
  });
  for (const button of form.querySelectorAll("[data-right]")) {
    button.addEventListener("click", () => move(Number(button.dataset.right) / 2, Number(button.dataset.lower) / 2));
  }
  for (const field of [across, down]) field.addEventListener("input", show);
  show();
};
