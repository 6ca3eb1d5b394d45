// The page as it lives: forms go by the queue, other devices' entries come in, long answers fill their places, what
// is typed stays. Every page works without this script.
"use strict";
(() => {
  const link = () => document.getElementById("link");
  const main = () => document.getElementById("main");
  let isThere = true, isShutOut = false, held = "", tryAgainAt = 0, last = Number(document.body.dataset.last ?? 0), inTurn = Promise.resolve();
  // Which restoration this page is of: another one may be served at the same address later.
  const book = document.body.dataset.book ?? "";
  // The id of the form that was filled in last, until its answer is there or something else is typed: whichever run
  // sends it, its answer is shown.
  let awaited = null;
  // A laptop that sleeps keeps the connection open and says nothing.
  // One that answers but cannot take what is sent, with a full disk for one, is asked again after a while.
  const PATIENCE = 30000, SILENCE = 5000, A_WHILE = 10000;

  // What is typed stays on the phone until it is sent, also when the page is loaded anew.
  // A draft belongs to one question: what the address asks, save the entry it tells of.
  const question = () => {
    const asked = new URLSearchParams(location.search);
    asked.delete("made");
    return `${location.pathname}?${asked}`;
  };
  const draftOf = (field) => `${question()}|${field.form?.getAttribute("action")}|${field.id || field.name}`;
  const keeps = (field) => field.name && field.type !== "hidden" && field.type !== "file" && field.type !== "password" && field.form?.hasAttribute("data-keep");
  const keepDraft = (event) => {
    const field = event.target;
    awaited = null;
    if (!keeps(field)) return;
    const value = field.type === "checkbox" || field.type === "radio" ? (field.checked ? field.value : null) : field.value;
    if (field.type === "radio" && value === null) return;
    try { value === null ? sessionStorage.removeItem(draftOf(field)) : sessionStorage.setItem(draftOf(field), value); } catch { /* a full store keeps what it has */ }
  };
  const bringDrafts = () => {
    for (const field of main().querySelectorAll("form[data-keep] [name]")) {
      if (!keeps(field)) continue;
      const draft = sessionStorage.getItem(draftOf(field));
      if (draft === null) continue;
      if (field.type === "checkbox" || field.type === "radio") field.checked = field.value === draft;
      else if (!field.value) field.value = draft;
    }
  };
  const dropDrafts = (form) => {
    for (const field of form.elements) if (field.name) sessionStorage.removeItem(draftOf(field));
  };

  const say = async () => {
    const all = await queue.all().catch(() => []);
    const waiting = all.filter((one) => one.book === book);
    const refused = waiting.filter((one) => one.refused);
    const open = waiting.length - refused.length;
    const words = [];
    if (isShutOut) words.push("The laptop no longer lets this device in. Open its address again, with new words.");
    else if (!isThere) words.push("The laptop does not answer.");
    if (open) words.push(open === 1 ? "One entry is kept on this phone and is sent as soon as it can be." : `${open} entries are kept on this phone and are sent as soon as they can be.`);
    if (open && held) words.push(`The laptop says: ${held}`);
    const others = [...new Set(all.filter((one) => one.book !== book).map((one) => one.of))];
    if (others.length) words.push(`Entries of ${others.join(" and ")} are kept on this phone too; they are sent when its pages are open again.`);
    const place = link();
    place.textContent = words.join(" ");
    for (const one of refused) {
      const row = document.createElement("div");
      row.className = "trouble";
      const text = document.createElement("p");
      text.textContent = `Not entered: ${one.said} (${one.fields.filter(([name]) => !["once", "seen", "seconds", "what", "list"].includes(name)).map(([, value]) => value).filter(Boolean).join(", ")})`;
      const away = document.createElement("button");
      away.type = "button";
      away.textContent = "I have read this";
      away.addEventListener("click", async () => { await queue.drop(one.turn); say(); });
      row.append(text, away);
      place.append(row);
    }
  };

  const there = (now) => {
    if (now !== isThere) { isThere = now; say(); }
  };

  // Takes the main part of an answer over.
  const takeOver = (text, address, focus) => {
    const page = new DOMParser().parseFromString(text, "text/html");
    const fresh = page.getElementById("main");
    if (!fresh) return false;
    document.title = page.title;
    last = Number(page.body.dataset.last ?? last);
    for (const old of document.querySelectorAll(".under-power")) old.remove();
    const power = page.querySelector(".under-power");
    main().replaceWith(fresh);
    if (power) fresh.before(power);
    if (address && address !== location.href) history.pushState(null, "", address);
    dress();
    if (focus) {
      const first = fresh.querySelector("[role=alert]:not([hidden]), .verdict") ?? fresh;
      window.scrollTo(0, 0);
      if (first === fresh) fresh.focus({ preventScroll: true }); else first.scrollIntoView({ block: "start" });
    }
    if (fresh.querySelector("[data-stop]")) step.tone(3);
    return true;
  };

  // Why a page says that something was not entered.
  const whyOf = (text) => {
    const page = new DOMParser().parseFromString(text, "text/html");
    const whole = page.querySelector(".trouble") ?? page.querySelector("main");
    const parts = whole ? [...whole.querySelectorAll("h1, h2, p, li")] : [];
    return parts.map((part) => part.textContent.trim()).filter(Boolean).slice(0, 2).join(". ").replaceAll("..", ".");
  };

  const bodyOf = (one) => {
    if (!one.files) return new URLSearchParams(one.fields);
    const body = new FormData();
    for (const [name, value] of one.fields) body.append(name, value);
    for (const file of one.files) body.append(file.name, file.blob, file.called);
    return body;
  };

  // Sends what waits, in order, one after the other. A sending that the laptop refuses is told and no longer holds up
  // the others. `turn` is that of the form that was just filled in: its page is taken over.
  const run = async (turn) => {
    let isDone = turn === undefined;
    held = "";
    try {
      for (const one of await queue.all()) {
        if (one.refused || one.book !== book) continue;
        const patience = AbortSignal.timeout(one.files ? 4 * PATIENCE : PATIENCE);
        const answer = await fetch(one.to, { method: "POST", body: bodyOf(one), credentials: "same-origin", signal: patience });
        there(true);
        const text = await answer.text();
        const isOwn = one.turn === turn || one.fields.some(([name, value]) => name === "once" && value === awaited);
        isDone ||= isOwn;
        if (answer.status === 401) { shutOut(text); break; }
        if (answer.status === 429 || answer.status >= 500) {
          // It stays here; the form is free for what comes next.
          held = whyOf(text);
          tryAgainAt = Date.now() + A_WHILE;
          break;
        }
        if (answer.ok) {
          await queue.drop(one.turn);
          if (isOwn) takeOver(text, answer.url, true);
        } else if (isOwn && /<form[^>]* data-keep/.test(text)) {
          // The form comes back with all that was typed.
          await queue.drop(one.turn);
          takeOver(text, null, true);
        } else {
          if (isOwn) takeOver(text, null, true);
          const page = new DOMParser().parseFromString(text, "text/html");
          const why = page.querySelector(".trouble li, .trouble p, main p");
          one.said = why ? [...why.childNodes].map((part) => part.textContent.trim()).filter(Boolean).join("; ") : "the laptop refused it";
          one.refused = true;
          await queue.update(one);
        }
      }
      // It went with those before it: the page is shown as it stands now.
      if (!isDone) await refresh();
    } catch {
      there(false);
    } finally {
      await say();
      if (held && turn !== undefined) link().scrollIntoView({ block: "nearest" });
    }
  };
  const send = (turn) => inTurn = inTurn.then(() => run(turn));

  const newId = () => Array.from(crypto.getRandomValues(new Uint8Array(22)), (byte) => "abcdefghijkmnpqrstuvwxyz23456789"[byte & 31]).join("");

  const submit = async (event) => {
    const form = event.target;
    if (!(form instanceof HTMLFormElement) || !form.hasAttribute("data-keep")) return;
    event.preventDefault();
    if (form.dataset.sent) return;
    form.dataset.sent = "yes";
    if (form.hasAttribute("data-judge")) step.judged(form);
    const data = new FormData(form, event.submitter ?? undefined);
    awaited = newId();
    data.set("once", awaited);
    const fields = [], files = [];
    for (const [name, value] of data) {
      if (value instanceof File) { if (value.size) files.push({ name, blob: value, called: value.name }); }
      else fields.push([name, value]);
    }
    const sending = { to: form.getAttribute("action"), fields, book, of: document.querySelector(".set")?.textContent ?? "" };
    if (form.enctype === "multipart/form-data") sending.files = files;
    let turn;
    try { turn = await queue.put(sending); } catch { form.removeAttribute("data-keep"); form.requestSubmit(event.submitter); return; }
    dropDrafts(form);
    // Where no answer comes soon, it is said that the entry is kept, and the form is free for the next one.
    const free = () => { if (document.contains(form)) { delete form.dataset.sent; form.reset(); } };
    const waits = setTimeout(() => { say(); free(); }, isThere ? 1500 : 0);
    await send(turn);
    clearTimeout(waits);
    free();
  };

  // Answers that take long fill their places.
  const fill = async (place) => {
    // Asked again after the link was gone, the first asking counts no more.
    place.asking?.abort();
    const asking = place.asking = new AbortController();
    try {
      const answer = await fetch(place.dataset.later, { credentials: "same-origin", signal: asking.signal });
      const text = await answer.text();
      if (answer.status === 401) { shutOut(text); return; }
      const page = answer.ok ? null : new DOMParser().parseFromString(text, "text/html").getElementById("main");
      place.innerHTML = page ? page.innerHTML : text;
      place.setAttribute("aria-busy", "false");
      dress(place);
    } catch {
      if (asking.signal.aborted) return;
      const words = place.querySelector(".working");
      if (words) words.textContent = "The laptop does not answer; this follows when it does.";
      there(false);
    }
  };

  // Whether somebody has begun to fill a form in: what is typed is not taken away by a newer answer.
  const isTypedInto = (place) => [...place.querySelectorAll("input, textarea, select")].some((field) => field.type !== "hidden" && (field.type === "checkbox" || field.type === "radio" ? field.checked !== field.defaultChecked : field.value !== (field.defaultValue ?? field.value)));

  // Parts of the page that tell stored facts are shown anew when something was entered elsewhere.
  const refresh = async () => {
    const parts = main().querySelectorAll("[data-live], [data-later]");
    if (!parts.length) return;
    try {
      const answer = await fetch(location.href, { credentials: "same-origin" });
      if (!answer.ok) return;
      const page = new DOMParser().parseFromString(await answer.text(), "text/html");
      document.body.dataset.last = page.body.dataset.last;
      last = Number(page.body.dataset.last);
      for (const old of main().querySelectorAll("[data-live]")) {
        if (old.contains(document.activeElement) && document.activeElement.matches("input, textarea, select")) continue;
        const fresh = page.getElementById(old.id);
        if (fresh) { old.replaceWith(fresh); dress(fresh); }
      }
      for (const place of main().querySelectorAll("[data-later][aria-busy=false]")) if (!isTypedInto(place)) fill(place);
    } catch { there(false); }
  };

  // How long an answer is being worked out, for the eye alone.
  setInterval(() => {
    for (const own of document.querySelectorAll("[data-later][aria-busy=true]")) {
      const since = Math.floor((Date.now() - (own.since ??= Date.now())) / 1000);
      if (since < 2) continue;
      let told = own.querySelector(".since");
      if (!told) { told = document.createElement("p"); told.className = "since"; told.setAttribute("aria-hidden", "true"); own.append(told); }
      told.textContent = `${since} s`;
    }
  }, 1000);

  const dress = (root = main()) => {
    keypad(root);
    sheetText(root);
    if (root === main()) bringDrafts();
    for (const place of root.querySelectorAll("[data-later][aria-busy=true]")) fill(place);
    for (const drawing of root.querySelectorAll("[data-chassis]")) globalThis.chassis?.(drawing);
    for (const field of root.querySelectorAll("[data-only-script]")) field.hidden = false;
  };

  // The leave of this device was taken back. A step with power stays in sight with its limits.
  const shutOut = (text) => {
    isShutOut = true;
    if (!step.hasPower()) takeOver(text, null, true);
    say();
  };

  const listen = () => {
    // A page that stands before the door has nothing to hear.
    if (!book) return;
    const stream = new EventSource("/live");
    stream.addEventListener("beat", (event) => {
      const told = JSON.parse(event.data);
      const was = isThere;
      there(true);
      step.hears(told);
      if (!was) {
        send();
        if (told.last > last) refresh();
        for (const place of document.querySelectorAll("[data-later][aria-busy=true]")) fill(place);
      }
    });
    stream.addEventListener("entered", (event) => {
      if (Number(event.data) > last) refresh();
      last = Math.max(last, Number(event.data));
    });
    stream.addEventListener("step", () => {
      // A page of the power-up that nobody types into follows what another device did.
      if (location.pathname === "/power" && !document.activeElement?.matches("input, textarea")) {
        fetch("/power", { credentials: "same-origin" }).then((answer) => answer.text()).then((text) => takeOver(text, null, false)).catch(() => there(false));
      }
    });
    stream.addEventListener("progress", (event) => {
      const told = JSON.parse(event.data);
      for (const place of document.querySelectorAll("[data-later][aria-busy=true] .working")) if (place.parentElement.dataset.later === told.key) place.textContent = told.words;
    });
    stream.addEventListener("error", async () => {
      there(false);
      if (stream.readyState !== EventSource.CLOSED) return;
      // It was refused, and the browser does not try again by itself.
      const answer = await fetch(location.href, { credentials: "same-origin" }).catch(() => null);
      if (answer?.status === 401) shutOut(await answer.text());
      else setTimeout(listen, 3000);
    });
  };

  document.addEventListener("submit", submit);
  document.addEventListener("input", keepDraft);
  document.addEventListener("change", keepDraft);
  addEventListener("online", () => send());
  addEventListener("popstate", () => location.reload());
  setInterval(() => Date.now() >= tryAgainAt && queue.all().then((all) => { if (all.some((one) => !one.refused && one.book === book)) send(); }).catch(() => {}), 3000);
  setInterval(() => { if (step.silence() > SILENCE) there(false); }, 500);
  dress();
  step.begin();
  listen();
  send();
})();
