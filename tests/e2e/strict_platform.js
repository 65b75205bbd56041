// A learning platform that takes only what SCORM 1.2 allows: ADL, "The SCORM Run-Time Environment", version 1.2,
// section 3.3.5 (states and errors) and 3.4 (elements and data types). What it refuses is listed in `refused`.
function strictPlatform(given) {
  const whole = (least, most) => (text) => /^-?\d+(\.\d+)?$/.test(text) && Number(text) >= least && Number(text) <= most;
  const words = (...known) => (text) => known.includes(text);
  const short = (most) => (text) => text.length <= most;
  // Each element: what it takes, and whether it may be read; nothing to take means that only the platform sets it.
  const MODEL = {
    "cmi.core._children": { read: true },
    "cmi.core.student_id": { read: true },
    "cmi.core.student_name": { read: true },
    "cmi.core.credit": { read: true },
    "cmi.core.entry": { read: true },
    "cmi.core.lesson_mode": { read: true },
    "cmi.core.total_time": { read: true },
    "cmi.core.lesson_location": { read: true, takes: short(255) },
    "cmi.core.lesson_status": { read: true, takes: words("passed", "completed", "failed", "incomplete", "browsed") },
    "cmi.core.score.raw": { read: true, takes: whole(0, 100) },
    "cmi.core.score.min": { read: true, takes: whole(0, 100) },
    "cmi.core.score.max": { read: true, takes: whole(0, 100) },
    "cmi.core.exit": { takes: words("time-out", "suspend", "logout", "") },
    "cmi.core.session_time": { takes: (text) => /^\d{2,4}:[0-5]\d:[0-5]\d(\.\d{1,2})?$/.test(text) },
    "cmi.suspend_data": { read: true, takes: short(4096) },
    "cmi.launch_data": { read: true },
    "cmi.student_data.mastery_score": { read: true },
  };
  const values = {
    "cmi.core.lesson_status": "not attempted",
    "cmi.core.lesson_mode": given.mode ?? "normal",
    "cmi.core.credit": "credit",
    "cmi.student_data.mastery_score": given.mastery ?? "",
    ...JSON.parse(localStorage.getItem("kept") ?? "{}"),
  };
  values["cmi.core.entry"] = localStorage.getItem("kept") ? "resume" : "ab-initio";
  delete values["cmi.core.session_time"];
  let state = "new";
  let error = "0";
  const refused = [];
  const fails = (code, ...what) => ((error = code), refused.push([code, ...what].join(" ")), "false");
  const fine = () => ((error = "0"), "true");
  // A call's argument has to be the empty text where the standard asks for one.
  const empty = (name, given) => given.length === 1 && given[0] === "" ? null : fails("201", name);
  const open = (name) => (state === "open" ? null : fails(state === "new" ? "301" : "101", name));
  const keep = () => localStorage.setItem("kept", JSON.stringify(values));
  window.seen = () => JSON.parse(localStorage.getItem("kept") ?? "null");
  window.refused = refused;
  return {
    LMSInitialize: (...given) => {
      const fault = empty("LMSInitialize", given) ?? (state === "new" ? null : fails("101", "begun twice"));
      if (fault) return fault;
      state = "open";
      return fine();
    },
    LMSFinish: (...given) => {
      const fault = empty("LMSFinish", given) ?? open("LMSFinish");
      if (fault) return fault;
      state = "ended";
      keep();
      localStorage.setItem("ended", String(Number(localStorage.getItem("ended") ?? 0) + 1));
      return fine();
    },
    LMSCommit: (...given) => empty("LMSCommit", given) ?? open("LMSCommit") ?? (keep(), fine()),
    LMSGetValue: (name) => {
      if (open(`read ${name}`)) return "";
      if (!MODEL[name]) return fails("401", name), "";
      if (!MODEL[name].read) return fails("404", name), "";
      fine();
      return values[name] ?? "";
    },
    LMSSetValue: (name, value) => {
      const fault = open(`set ${name}`);
      if (fault) return fault;
      if (!MODEL[name]) return fails("401", name);
      if (!MODEL[name].takes) return fails("403", name);
      if (typeof value !== "string" || !MODEL[name].takes(value)) return fails("405", name, value);
      values[name] = value;
      return fine();
    },
    LMSGetLastError: () => error,
    LMSGetErrorString: (code) => `error ${code}`,
    LMSGetDiagnostic: (code) => `error ${code}`,
  };
}
