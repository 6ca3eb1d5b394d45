// The step with power: its clock, its verdict on the phone, the word when the laptop is silent, the screen awake.
"use strict";
const step = (() => {
  const SILENCE = 5000;
  let heard = Date.now(), ahead = 0, beat = null, lock = null, rang = "";
  const own = () => {
    const text = document.getElementById("step-at-hand");
    return text ? JSON.parse(text.textContent) : null;
  };
  const hasPower = () => {
    const here = own();
    return here ? here.energised && here.state === "under_way" : Boolean(beat?.step?.power);
  };
  const seconds = () => {
    const here = own();
    const begun = here?.begun ?? beat?.step?.begun;
    return begun === null || begun === undefined ? null : Math.max(0, Math.floor(Date.now() / 1000 + ahead - begun));
  };
  // Three short tones for a stop, one for the time of a reading (Web Audio; a page makes sound after its first tap).
  const tone = (times) => {
    try {
      const audio = step.audio ??= new AudioContext();
      for (let turn = 0; turn < times; turn += 1) {
        const at = audio.currentTime + turn * 0.35;
        const source = audio.createOscillator();
        const loud = audio.createGain();
        source.frequency.value = times > 1 ? 880 : 587;
        loud.gain.setValueAtTime(0.25, at);
        loud.gain.setValueAtTime(0, at + 0.22);
        source.connect(loud).connect(audio.destination);
        source.start(at);
        source.stop(at + 0.25);
      }
    } catch { /* without sound the words and the shape stand */ }
    navigator.vibrate?.(times > 1 ? [400, 150, 400, 150, 400] : 200);
  };
  const awake = async () => {
    if (!hasPower()) {
      await lock?.release().catch(() => {});
      lock = null;
    } else if (!lock && document.visibilityState === "visible" && navigator.wakeLock) {
      lock = await navigator.wakeLock.request("screen").catch(() => null);
      lock?.addEventListener("release", () => { lock = null; });
    }
  };
  const tick = () => {
    const clock = document.getElementById("clock");
    const passed = seconds();
    const here = own();
    if (clock && passed !== null) {
      const left = Math.ceil(Number(clock.dataset.wait) - passed);
      clock.querySelector(".elapsed").textContent = `${passed} s`;
      clock.querySelector(".then").textContent = left > 0 ? `read in ${left} s` : "time to read";
      if (left <= 0 && here && rang !== here.key + here.begun) {
        rang = here.key + here.begun;
        tone(1);
      }
    }
    const silent = document.getElementById("no-laptop");
    if (silent) {
      const gone = hasPower() && Date.now() - heard > SILENCE;
      if (gone && silent.hidden) tone(3);
      silent.hidden = !gone;
    }
    awake();
  };
  return {
    tone,
    hasPower,
    silence: () => Date.now() - heard,
    hears: (told) => {
      heard = Date.now();
      if (told) {
        beat = told;
        ahead = told.now - Date.now() / 1000;
      }
      tick();
    },
    begin: () => {
      setInterval(tick, 500);
      document.addEventListener("visibilitychange", tick);
      tick();
    },
    seconds,
    // Says at once how a reading stands; true where it is beyond a limit.
    judged: (form) => {
      const here = own();
      const told = document.getElementById("phone-verdict");
      const field = (name) => form.elements.namedItem(name)?.value ?? "";
      const asked = here?.asked.find((one) => one.at === field("place") && (one.to ?? "") === field("to") && one.what === field("what"));
      const passed = seconds();
      if (passed !== null && form.elements.namedItem("seconds")) form.elements.namedItem("seconds").value = passed;
      if (!asked || !told) return false;
      const verdict = judge.of(asked, judge.valueOf(field("value"), asked.what), passed ?? 0, here);
      const words = {
        beyond: here.energised ? (here.source ? "Stop. Switch the source off." : "Stop. Pull the plug.") : "Stop. Go no further.",
        low: "▼ Low. Look again.", high: "▲ High. Look again.", inside: "● Inside.", too_early: "… Too early to tell.",
      }[verdict];
      if (!words) return false;
      told.dataset.verdict = verdict;
      told.innerHTML = "";
      const head = document.createElement("p");
      head.className = "head";
      head.textContent = words;
      told.append(head);
      told.hidden = false;
      if (verdict === "beyond") {
        told.scrollIntoView({ block: "start" });
        tone(3);
      }
      return verdict === "beyond";
    },
  };
})();
