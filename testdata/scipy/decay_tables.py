#!/usr/bin/python3
"""Envelope, short spectra and wavelet decay of two resonances, in numpy and scipy.

    decay_tables.py > ../decay_scipy.json

The response is made from the figures in the file, so that it need not be stored:
h[n] = Σ a e^(−π f0 n/(Q fs)) sin(2π f0 n/fs + φ), n ≥ 0, at 48 kHz.
"""
import json

import numpy as np
import scipy.signal as ss

RATE, LENGTH = 48000, 48000
RESONANCES = [[1.0, 150.0, 8.0, 0.3], [0.5, 2500.0, 25.0, 1.1]]  # a, f0, Q, φ


def response():
    n = np.arange(LENGTH)
    return sum(a * np.exp(-np.pi * f * n / (q * RATE)) * np.sin(2 * np.pi * f * n / RATE + p) for a, f, q, p in RESONANCES)


def envelope(h, lead, at):
    """dB re the peak, at samples after the onset, with silence of lead samples before."""
    x = np.abs(ss.hilbert(np.concatenate([np.zeros(lead), h, np.zeros(40 * LENGTH)])))[: lead + LENGTH]
    return [float(20 * np.log10(x[lead + i] / x.max())) for i in at]


def short_spectra(h, length, starts, bins):
    """Of frames of an odd length with a symmetric Hann window that is 0 one sample out."""
    window = ss.get_window("hann", length + 1)[1:]
    return [[float(20 * np.log10(abs(np.fft.rfft(h[s : s + length] * window)[b]))) for b in bins] for s in starts]


def bursts(h, cycles, frequencies, periods):
    """Envelope of the response to Gaussian bursts, by direct convolution."""
    n = np.arange(LENGTH)
    out = []
    for f in frequencies:
        row = []
        sigma = cycles / f / (2 * np.sqrt(2 * np.log(2)))
        for p in periods:
            t = p / f - n / RATE
            burst = np.exp(-(t**2) / (2 * sigma**2) + 2j * np.pi * f * t)
            row.append(float(20 * np.log10(abs(np.sum(h * burst)))))
        out.append(row)
    return out


h = response()
at = [0, 10, 100, 500, 1000, 2500, 5000, 9000]
starts, bins = [0, 480, 2400, 7200], [15, 30, 63, 250, 500, 800]
frequencies, periods = [100.0, 150.0, 1000.0, 2500.0], [0.0, 2.0, 5.0, 10.0, 20.0, 30.0]
print(json.dumps({
    "source": "testdata/scipy/decay_tables.py, numpy " + np.__version__,
    "rateHz": RATE, "samples": LENGTH, "resonances": RESONANCES,
    "envelope": {"at": at, "levelDB": envelope(h, 480, at)},
    "frames": {"length": 4799, "starts": starts, "bins": bins, "levelDB": short_spectra(h, 4799, starts, bins)},
    "bursts": {"cycles": 4.0, "frequencyHz": frequencies, "periods": periods, "levelDB": bursts(h, 4.0, frequencies, periods)},
}, indent=1))
