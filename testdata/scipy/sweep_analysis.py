#!/usr/bin/python3
"""The analysis of a sweep measurement in numpy and scipy: a second opinion.

It shares no code with the program and reads the same samples. Windows and shares
are those that the program documents; everything else is done the plain way.

    sweep_analysis.py at    JOB.json     response and harmonics at chosen frequencies
    sweep_analysis.py bench JOB.json     seconds for the analysis on a grid

JOB.json: {"rate", "startHz", "endHz", "durationS", "stimulus", "recording" (float64
little-endian files), "lead" (samples of the recording before the sweep's arrival at
zero delay), "delayS" (arrival, as a lag), "gate": [open, close, openTaper, closeTaper],
"pauseS", "orders", "frequencies", "quiet": [from, to] (of the file "quietFile")}
"""
import json
import sys
import time

import numpy as np
import scipy.fft as sf
import scipy.signal as ss


class Job:
    def __init__(self, path):
        with open(path) as file:
            self.__dict__.update(json.load(file))
        self.x = np.fromfile(self.stimulus)
        self.y = np.fromfile(self.recording)
        self.q = np.fromfile(self.quietFile)
        self.L = self.durationS / np.log(self.endHz / self.startHz)


def hann_rise(u):
    return 0.5 - 0.5 * np.cos(np.pi * np.clip(u, 0, 1))


def harris_rise(u):
    """integral of the four-term Blackman-Harris window (Harris 1978)"""
    a = (0.35875, 0.48829, 0.14128, 0.01168)
    x = 2 * np.pi * np.clip(u, 0, 1)
    return (a[0] * x - a[1] * np.sin(x) + a[2] * np.sin(2 * x) / 2 - a[3] * np.sin(3 * x) / 3) / (a[0] * 2 * np.pi)


def edge(f, corner):
    b, a = ss.butter(4, corner, "highpass", analog=True)
    s = 1j * np.asarray(f, float)
    return np.polyval(b, s) / np.polyval(a, s)


def spectrum_of(job):
    """the inverse of the stimulus; kept from take to take"""
    n = sf.next_fast_len(len(job.y), real=True)
    X = sf.rfft(job.x, n)
    f = np.arange(len(X)) * (job.rate / n)
    pink = (job.rate / 2 * job.peak) ** 2 * job.L / np.maximum(f, job.rate / n)
    B = np.zeros(len(f), complex)
    inside = f > 0.35 * job.startHz
    g = f[inside]
    top = job.endHz * 2 ** (-1 / 12)
    B[inside] = hann_rise(np.log2(g / (0.35 * job.startHz))) * \
        hann_rise(np.log(job.endHz / g) / np.log(job.endHz / top)) * edge(g, job.startHz)
    return n, np.conj(X) / (np.abs(X) ** 2 + 1e-7 * pink) * B


def deconvolve(job, n, inverse):
    return sf.irfft(sf.rfft(job.y, n) * inverse, n)


def cut(h, rate, at, left, right, rise_left, rise_right, flank_left, flank_right):
    i = np.arange(int(np.ceil((at - left) * rate)), int(np.floor((at + right) * rate)) + 1)
    t = i / rate - at
    w = rise_left((t + left) / flank_left) * rise_right((right - t) / flank_right)
    return h[i % len(h)] * w, t, w


def linear(job, h):
    o, c, ot, ct = job.gate
    return cut(h, job.rate, job.delayS, -o, c, hann_rise, hann_rise, ot, ct)


def order(job, h, n):
    left = 0.3 * job.L * np.log((n + 1) / n)
    right = job.pauseS if n == 1 else 0.7 * job.L * np.log(n / (n - 1))
    return cut(h, job.rate, job.delayS - job.L * np.log(n), left, right, harris_rise, harris_rise, left, 0.7 * right)


def direct(piece, f, job):
    samples, t, _ = piece
    out = np.array([np.sum(samples * np.exp(-2j * np.pi * v * t)) for v in f])
    return out / edge(f, job.startHz)


def smoothed(piece, f, job, fraction=24):
    """power over 1/fraction octave by the running integral of the spectrum"""
    samples = piece[0]
    n = sf.next_fast_len(2 * len(samples), real=True)
    P = np.abs(sf.rfft(samples, n)) ** 2
    df = job.rate / n
    integral = np.concatenate([[0], np.cumsum(P) * df])
    edges = (np.arange(len(P) + 1) - 0.5) * df
    k = 2 ** (0.5 / fraction)
    lo, hi = f / k, f * k
    narrow = hi - lo < df
    lo, hi = np.where(narrow, f - df / 2, lo), np.where(narrow, f + df / 2, hi)
    return (np.interp(hi, edges, integral) - np.interp(lo, edges, integral)) / (hi - lo) / np.abs(edge(f, job.startHz)) ** 2


def analysis(job, kept, f):
    h = deconvolve(job, *kept)
    gated = linear(job, h)
    response = smoothed(gated, f, job)
    samples, t, _ = gated
    n = sf.next_fast_len(2 * len(samples), real=True)
    bins = np.arange(n // 2 + 1) * (job.rate / n)
    S = sf.rfft(samples, n) * np.exp(-2j * np.pi * bins * t[0])
    phase = np.angle(np.interp(f, bins, S.real) + 1j * np.interp(f, bins, S.imag))
    one = smoothed(order(job, h, 1), f, job)
    fw, density = ss.welch(job.q, job.rate, nperseg=int(0.2 * job.rate))
    levels, floors = [], []
    for N in range(2, job.orders + 1):
        piece = order(job, h, N)
        g = np.minimum(N * f, job.rate / 2)
        levels.append(10 * np.log10(smoothed(piece, g, job) / one))
        sigma2 = np.interp(g, fw, density) * job.rate / 2
        floors.append(10 * np.log10(sigma2 * np.sum(piece[2] ** 2) / ((job.rate / 2 * job.peak) ** 2 * job.L / g) / one + 1e-300))
    return 10 * np.log10(response), phase, levels, floors


def at(job):
    n, inverse = spectrum_of(job)
    h = deconvolve(job, n, inverse)
    f = np.array(job.frequencies)
    H = direct(linear(job, h), f, job)
    one = np.abs(direct(order(job, h, 1), f, job))
    out = {"magnitudeDb": list(20 * np.log10(np.abs(H))), "phaseDeg": list(np.degrees(np.angle(H))), "harmonics": []}
    for N in range(2, job.orders + 1):
        g = N * f
        known = g < job.rate / 2
        level = np.full(len(f), np.nan)
        level[known] = 20 * np.log10(np.abs(direct(order(job, h, N), g[known], job)) / one[known])
        out["harmonics"].append([None if np.isnan(v) else v for v in level])
    json.dump(out, sys.stdout)


def bench(job):
    f = np.exp(np.linspace(np.log(20), np.log(20000), 960))
    kept = spectrum_of(job)
    fresh, again = [], []
    for _ in range(job.rounds):
        t0 = time.perf_counter()
        kept = spectrum_of(job)
        t1 = time.perf_counter()
        analysis(job, kept, f)
        t2 = time.perf_counter()
        fresh.append(t2 - t0)
        again.append(t2 - t1)
    json.dump({"seconds": min(fresh), "secondsKept": min(again)}, sys.stdout)


if __name__ == "__main__":
    {"at": at, "bench": bench}[sys.argv[1]](Job(sys.argv[2]))
