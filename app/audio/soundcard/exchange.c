#include "exchange.h"

#include <stdlib.h>
#include <string.h>
#include <time.h>

static float **rows(int count, int64_t frames)
{
	float **r = calloc(count > 0 ? count : 1, sizeof *r);
	for (int i = 0; r && i < count; i++) {
		r[i] = calloc(frames > 0 ? frames : 1, sizeof **r);
		if (!r[i]) {
			while (i-- > 0)
				free(r[i]);
			free(r);
			return NULL;
		}
		/* Touched now, so that the callback meets no page for the first time. */
		memset(r[i], 0, frames * sizeof **r);
	}
	return r;
}

static void free_rows(float **r, int count)
{
	for (int i = 0; r && i < count; i++)
		free(r[i]);
	free(r);
}

sc_exchange *sc_new(int play_rows, int64_t play_frames, int record_rows, int64_t ring_frames, int64_t block_room)
{
	sc_exchange *x = calloc(1, sizeof *x);
	if (!x)
		return NULL;
	x->play_rows = play_rows;
	x->play_frames = play_frames;
	x->record_rows = record_rows;
	x->ring_frames = ring_frames;
	x->block_room = block_room;
	x->play = rows(play_rows, play_frames);
	x->record = rows(record_rows, ring_frames);
	x->play_channel = calloc(play_rows + 1, sizeof *x->play_channel);
	x->record_channel = calloc(record_rows + 1, sizeof *x->record_channel);
	x->blocks = calloc(block_room + 1, sizeof *x->blocks);
	if (x->play && x->record && x->play_channel && x->record_channel && x->blocks)
		return x;
	sc_free(x);
	return NULL;
}

void sc_free(sc_exchange *x)
{
	if (!x)
		return;
	free_rows(x->play, x->play_rows);
	free_rows(x->record, x->record_rows);
	free(x->play_channel);
	free(x->record_channel);
	free(x->blocks);
	free(x);
}

static int64_t least(int64_t a, int64_t b)
{
	return a < b ? a : b;
}

static void note_block(sc_exchange *x, int64_t pos, unsigned long frames, const PaStreamCallbackTimeInfo *time, PaStreamCallbackFlags flags)
{
	int64_t n = atomic_load_explicit(&x->block_count, memory_order_relaxed);
	if (n >= x->block_room)
		return;
	struct timespec ts;
	clock_gettime(CLOCK_MONOTONIC, &ts);
	sc_block *b = &x->blocks[n];
	b->frame = pos;
	b->mono_ns = (int64_t)ts.tv_sec * 1000000000 + ts.tv_nsec;
	b->adc_s = time ? time->inputBufferAdcTime : 0;
	b->now_s = time ? time->currentTime : 0;
	b->frames = (uint32_t)frames;
	b->flags = (uint32_t)flags;
	atomic_store_explicit(&x->block_count, n + 1, memory_order_release);
}

/* record keeps n frames from the position on; a missing input is silence. */
static void record(sc_exchange *x, float *const *in, int64_t pos, int64_t n)
{
	for (int r = 0; r < x->record_rows; r++) {
		const float *from = in ? in[x->record_channel[r]] : NULL;
		int64_t done = 0;
		while (done < n) {
			int64_t at = (pos + done) % x->ring_frames;
			int64_t part = least(n - done, x->ring_frames - at);
			if (from)
				memcpy(x->record[r] + at, from + done, part * sizeof *from);
			else
				memset(x->record[r] + at, 0, part * sizeof *from);
			done += part;
		}
	}
}

/* within_limit is false where a sample is too large or not a number. */
static int within_limit(const sc_exchange *x, int64_t pos, int64_t n)
{
	for (int r = 0; r < x->play_rows; r++)
		for (int64_t i = pos; i < pos + n; i++)
			if (!(x->play[r][i] >= -x->limit && x->play[r][i] <= x->limit))
				return 0;
	return 1;
}

/* fade turns the block down after a stop: linear to zero, then zero. */
static void fade(sc_exchange *x, float *const *out, int64_t frames)
{
	for (int64_t i = 0; i < frames; i++) {
		int64_t left = x->fade_frames - 1 - x->faded_frames;
		float gain = left > 0 ? (float)left / (float)x->fade_frames : 0;
		for (int r = 0; r < x->play_rows; r++)
			out[x->play_channel[r]][i] *= gain;
		if (left > 0)
			x->faded_frames++;
	}
	if (x->faded_frames >= x->fade_frames - 1)
		atomic_store_explicit(&x->silent, 1, memory_order_release);
}

/* play fills the block and tells whether all of it was within the limit. */
static int play(sc_exchange *x, float *const *out, int64_t pos, int64_t frames)
{
	for (int c = 0; c < x->out_channels; c++)
		memset(out[c], 0, frames * sizeof **out);
	int64_t n = least(frames, x->play_frames - pos);
	if (n < 0)
		n = 0;
	if (!within_limit(x, pos, n))
		return 0;
	for (int r = 0; r < x->play_rows; r++)
		memcpy(out[x->play_channel[r]], x->play[r] + pos, n * sizeof **out);
	if (atomic_load_explicit(&x->stop, memory_order_acquire))
		fade(x, out, frames);
	return 1;
}

int sc_callback(const void *in, void *out, unsigned long frames, const PaStreamCallbackTimeInfo *time, PaStreamCallbackFlags flags, void *exchange)
{
	sc_exchange *x = exchange;
	int64_t pos = atomic_load_explicit(&x->position, memory_order_relaxed);
	note_block(x, pos, frames, time, flags);

	int64_t total = atomic_load_explicit(&x->total_frames, memory_order_acquire);
	int64_t n = least((int64_t)frames, total > pos ? total - pos : 0);
	record(x, (float *const *)in, pos, n);
	if (out && !play(x, (float *const *)out, pos, (int64_t)frames)) {
		atomic_store_explicit(&x->state, SC_OVER_LIMIT, memory_order_release);
		return paAbort;
	}
	atomic_store_explicit(&x->position, pos + n, memory_order_release);
	if (pos + n < total)
		return paContinue;
	atomic_store_explicit(&x->state, SC_DONE, memory_order_release);
	return paComplete;
}

void sc_finished(void *exchange)
{
	sc_exchange *x = exchange;
	atomic_store_explicit(&x->finished, 1, memory_order_release);
}

int64_t sc_position(sc_exchange *x)
{
	return atomic_load_explicit(&x->position, memory_order_acquire);
}

int64_t sc_block_count(sc_exchange *x)
{
	return atomic_load_explicit(&x->block_count, memory_order_acquire);
}

int sc_state(sc_exchange *x)
{
	return atomic_load_explicit(&x->state, memory_order_acquire);
}

int sc_is_silent(sc_exchange *x)
{
	return atomic_load_explicit(&x->silent, memory_order_acquire);
}

int sc_is_finished(sc_exchange *x)
{
	return atomic_load_explicit(&x->finished, memory_order_acquire);
}

void sc_stop(sc_exchange *x)
{
	atomic_store_explicit(&x->stop, 1, memory_order_release);
}

void sc_end_at(sc_exchange *x, int64_t frame)
{
	atomic_store_explicit(&x->total_frames, frame, memory_order_release);
}
