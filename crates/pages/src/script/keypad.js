// The large keypad of a number: the phone's own keyboard stays away unless it is asked for by a real one.
"use strict";
const keypad = (root) => {
  for (const field of root.querySelectorAll("[data-number]")) {
    const pad = field.querySelector(".keypad");
    const input = field.querySelector("input");
    pad.hidden = false;
    if (matchMedia("(pointer: coarse)").matches) input.inputMode = "none";
    pad.addEventListener("click", (event) => {
      const key = event.target.closest("button");
      if (!key) return;
      const bare = input.value.replace(/[^\d.,+\-−]+.*$/, "");
      if (key.dataset.key === "-") input.value = /^[-−]/.test(input.value) ? input.value.slice(1) : "-" + input.value;
      else if (key.dataset.key) input.value = bare + key.dataset.key;
      else if (key.dataset.unit) input.value = key.dataset.unit === "open" ? "open" : bare + key.dataset.unit;
      else if (key.hasAttribute("data-back")) input.value = /[^\d.,+\-−]/.test(input.value) ? bare : input.value.slice(0, -1);
      input.dispatchEvent(new Event("input", { bubbles: true }));
    });
  }
};
