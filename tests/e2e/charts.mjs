// Long charts of our own for the scripts that measure.
const bars = (count) => Array.from({ length: count }, (_, i) => ["1", "4", "5", "1", "6-", "4", "2-", "5"][i % 8]).join(" ");

export const chart32 = `key G, 104; ${bars(32)}`;

// 200 bars, a change of metre every ten.
const part = (index) => `[${index % 2 ? "3/4" : "4/4"}] ${bars(10)}`;
export const chart200 = `key G, 104; ${Array.from({ length: 20 }, (_, index) => part(index)).join(" / ")}`;
