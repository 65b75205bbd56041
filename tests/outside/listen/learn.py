#!/usr/bin/env python3
"""Learns the weights of `src/listen/song/weights.json` from the figures that `cargo run --example hear -- figures` writes.

    learn.py FOLDER OUT       FOLDER holds train-*.json (the truth) and train-*.feat (the figures)

Two things are learned: what makes a way of counting the right one (a straight sum of figures, by maximum likelihood of
the right ones among all of a song), and which chord a beat's pitch classes are (one hidden layer, the same for every
root: the classes are turned so that the root comes first).
"""
import glob, json, sys
import numpy as np
import mir_eval
from scipy.optimize import minimize

KINDS = ["maj", "min", "7", "maj7", "min7", "dim", "sus4"]
NAMES = "C C# D Eb E F F# G Ab A Bb B".split()
HIDDEN = 28
rng = np.random.default_rng(1)


def songs(folder, kind):
    for path in sorted(glob.glob(f"{folder}/{kind}-*.feat")):
        yield json.load(open(path)), json.load(open(path[:-4] + "json"))


def rightness(figures, truth):
    """Whether each way of counting is right: beats, metre and first beat."""
    cut = lambda times: mir_eval.beat.trim_beats(np.array(times))
    beats, downs = cut(truth["beats"]), cut(truth["downbeats"])
    known, right = {}, []
    for way in figures["countings"]:
        key = tuple(way["beats"])
        if key not in known:
            known[key] = mir_eval.beat.f_measure(beats, cut(way["beats"]))
        first = way["beats"][way["first"] :: way["count"]]
        right.append(known[key] > 0.9 and way["count"] == truth["metre"] and mir_eval.beat.f_measure(downs, cut(first)) > 0.9)
    return np.array(right)


def learn_counting(data):
    sets = [(np.array([w["figures"] for w in f["countings"]]), rightness(f, t)) for f, t in data]
    sets = [(x, r) for x, r in sets if r.any()]
    stack = np.concatenate([x for x, _ in sets])
    middle, spread = stack.mean(0), stack.std(0) + 1e-3
    sets = [((x - middle) / spread, r) for x, r in sets]

    def loss(w):
        total, slope = 0.02 * len(sets) * w @ w, 0.04 * len(sets) * w
        for x, r in sets:
            z = x @ w
            z = z - z.max()
            p = np.exp(z)
            p, q = p / p.sum(), p * r / (p * r).sum()
            total -= np.log(p[r].sum() + 1e-12)
            slope = slope + x.T @ (p - q)
        return total, slope

    w = minimize(loss, np.zeros(stack.shape[1]), jac=True, method="L-BFGS-B", options={"maxiter": 500}).x
    hits = np.mean([r[np.argmax(x @ w)] for x, r in sets])
    print(f"counting: {len(sets)} songs, right on their own data {hits:.3f}")
    return w / spread


def beats_of(figures, truth):
    """Each beat's pitch classes with its chord's root and kind."""
    ends = np.array([c[1] for c in truth["chords"]])
    beats = np.array(truth["beats"])
    middle = beats + 0.5 * np.diff(beats).mean()
    which = np.minimum(np.searchsorted(ends, middle), len(ends) - 1)
    names = [truth["chords"][i][2].split(":") for i in which]
    return np.array(figures["colours"]), np.array([NAMES.index(n[0]) for n in names]), np.array([KINDS.index(n[1]) for n in names])


def turned(colours):
    """(beats, 12 roots, figures): the classes as they lie above each root."""
    parts = colours.reshape(len(colours), -1, 12)
    return np.stack([np.roll(parts, -root, axis=2).reshape(len(colours), -1) for root in range(12)], axis=1)


def learn_chords(data, rounds=60):
    colours, roots, kinds = (np.concatenate(x) for x in zip(*(beats_of(f, t) for f, t in data)))
    x = turned(colours).astype(np.float32)
    target = roots * len(KINDS) + kinds
    count, width = len(x), x.shape[2]
    params = [rng.normal(0, 0.25, (width, HIDDEN)), np.zeros(HIDDEN), rng.normal(0, 0.25, (HIDDEN, len(KINDS))), np.zeros(len(KINDS))]
    params = [p.astype(np.float32) for p in params]
    first, second = [np.zeros_like(p) for p in params], [np.zeros_like(p) for p in params]
    step = 0
    for epoch in range(rounds):
        rate = 0.004 * (1 - epoch / rounds) + 1e-5
        for batch in np.array_split(rng.permutation(count), max(1, count // 256)):
            step += 1
            a, b, c, d = params
            xb = x[batch] + rng.normal(0, 0.03, (len(batch), 1, width)).astype(np.float32)
            hidden = np.maximum(xb @ a + b, 0)
            logits = (hidden @ c + d).reshape(len(batch), -1)
            logits -= logits.max(1, keepdims=True)
            p = np.exp(logits)
            p /= p.sum(1, keepdims=True)
            p[np.arange(len(batch)), target[batch]] -= 1
            out = p.reshape(len(batch), 12, -1) / len(batch)
            back = (out @ c.T) * (hidden > 0)
            slopes = [np.einsum("brf,brh->fh", xb, back), back.sum((0, 1)), np.einsum("brh,brk->hk", hidden, out), out.sum((0, 1))]
            for i, g in enumerate(slopes):
                g = g + 3e-4 * params[i]
                first[i] = 0.9 * first[i] + 0.1 * g
                second[i] = 0.999 * second[i] + 0.001 * g * g
                params[i] = params[i] - rate * (first[i] / (1 - 0.9**step)) / (np.sqrt(second[i] / (1 - 0.999**step)) + 1e-8)
    return params


def logits(params, colours):
    a, b, c, d = params
    return (np.maximum(turned(colours) @ a + b, 0) @ c + d).reshape(len(colours), -1)


def report(name, params, data):
    both = [(logits(params, c).argmax(1), r, k) for c, r, k in (beats_of(f, t) for f, t in data)]
    got, roots, kinds = (np.concatenate(x) for x in zip(*both))
    n = len(KINDS)
    print(f"{name}: beats {len(got)}, root {np.mean(got // n == roots):.3f}, root and kind {np.mean(got == roots * n + kinds):.3f}")


def learn_degrees(data):
    """How likely each chord is in a key of each mode, a chord counted once each time it comes; no chord is impossible."""
    counts = {"major": np.full(12 * len(KINDS), 0.0), "minor": np.full(12 * len(KINDS), 0.0)}
    for _, truth in data:
        tonic, mode = truth["key"].split()
        for _, _, label in truth["chords"]:
            root, kind = label.split(":")
            counts[mode][(NAMES.index(root) - NAMES.index(tonic)) % 12 * len(KINDS) + KINDS.index(kind)] += 1
    return [np.log(0.85 * c / c.sum() + 0.15 / len(c)) for c in counts.values()]


def main():
    folder, out = sys.argv[1], sys.argv[2]
    train, dev = list(songs(folder, "train")), list(songs(folder, "dev"))
    counting = learn_counting(train)
    hits = [r[np.argmax(np.array([w["figures"] for w in f["countings"]]) @ counting)] for f, t in dev for r in [rightness(f, t)]]
    print(f"counting on dev: {np.mean(hits):.3f}")
    params = learn_chords(train)
    report("train", params, train)
    report("dev", params, dev)
    rounded = lambda x: [float(f"{v:.4g}") for v in np.asarray(x).ravel()]
    json.dump({"counting": rounded(counting), "hidden": rounded(params[0].T), "hidden_bias": rounded(params[1]),
               "kinds": rounded(params[2].T), "kinds_bias": rounded(params[3]),
               "degrees": [rounded(d) for d in learn_degrees(train)]}, open(out, "w"))


main()
