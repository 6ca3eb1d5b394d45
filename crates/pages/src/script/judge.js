// Judges a reading of the step at hand on the phone, link or no link, by the limits and bands that came with the
// page. The laptop judges again when it has the reading; a browser test holds both together.
"use strict";
const judge = (() => {
  const FACTORS = { "": 1, k: 1e3, K: 1e3, M: 1e6, meg: 1e6, m: 1e-3, u: 1e-6, "µ": 1e-6 };
  // The value in the unit of the kind of reading; null where it cannot be read here and is left to the laptop.
  const valueOf = (typed, what) => {
    const own = typed.trim().replace(/−/g, "-");
    // Three digits behind a comma are thousands, as the laptop reads them.
    const text = /^[+-]?[1-9]\d{0,2}(,\d{3})+(?![\d,])/.test(own) ? own.replace(/,/g, "") : own.replace(",", ".");
    if (/^(open|ol|infinite)$/i.test(text)) return what === "ohms" ? Infinity : null;
    const parts = /^([+-]?(?:\d+\.?\d*|\.\d+))\s*(k|K|M|meg|m|u|µ)?\s*(V|A|W|ohms?|Ω)?\s*(a\.?c\.?|d\.?c\.?|rms|p-p)?$/.exec(text);
    if (!parts) return null;
    const [, digits, prefix = "", unit = ""] = parts;
    const milli = what.endsWith("_milliamps");
    const wanted = what === "ohms" ? "ohm" : milli || what.includes("amps") ? "A" : what.endsWith("watts") ? "W" : "V";
    const read = unit === "Ω" || unit === "ohms" ? "ohm" : unit;
    if (read && read !== wanted) return null;
    if (prefix === "m" && !read) return null;
    const value = Number(digits) * FACTORS[prefix];
    // A bare number is in the unit of the question: milliamperes where those are asked.
    return milli && (read || prefix) ? value * 1e3 : value;
  };
  // With the plug out limits and band always count; with power a limit counts from its own second on, the band once
  // the step has settled.
  const of = (asked, value, seconds, step) => {
    if (value === null || Number.isNaN(value)) return null;
    const counts = (from) => !step.energised || seconds >= from;
    const counting = asked.limits.filter((limit) => counts(limit.after_seconds));
    const isBeyond = (limit) => value > (limit.above ?? Infinity) || value < (limit.below ?? -Infinity);
    if (counting.some(isBeyond)) return "beyond";
    const settled = counts(step.wait_seconds);
    if (settled && asked.low !== null) return value < asked.low ? "low" : value > asked.inside_up_to ? "high" : "inside";
    return settled || (asked.limits.length > 0 && counting.length === asked.limits.length) ? "inside" : "too_early";
  };
  return { valueOf, of };
})();
