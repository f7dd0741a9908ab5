/* One stream of an exchange with a sound card, as the real-time thread sees it:
 * it plays, records, or does both. Everything is allocated before the stream starts; the callback takes no lock, calls no
 * allocator and no Go. */
#ifndef STILLROOM_EXCHANGE_H
#define STILLROOM_EXCHANGE_H

#include <stdatomic.h>
#include <stdint.h>
#include <portaudio.h>

/* sc_block is what is kept of one callback. */
typedef struct {
	int64_t frame;   /* of the exchange at which the block began */
	int64_t mono_ns; /* monotonic clock when the callback was entered */
	double adc_s;    /* as the driver tells; not trusted */
	double now_s;    /* as the driver tells; not trusted */
	uint32_t frames;
	uint32_t flags; /* PaStreamCallbackFlags */
} sc_block;

enum { SC_RUNNING, SC_DONE, SC_OVER_LIMIT };

typedef struct {
	/* Set before the start and only read afterwards. */
	int play_rows, record_rows;
	int out_channels, in_channels; /* of the stream */
	int *play_channel, *record_channel;
	float **play;         /* play_rows rows of play_frames */
	float **record;       /* record_rows rows of ring_frames */
	int64_t play_frames;
	int64_t ring_frames;  /* the recording goes round in this many */
	int64_t fade_frames;  /* from full to silence after a stop */
	int64_t block_room;
	float limit;          /* highest magnitude that may leave */
	sc_block *blocks;

	/* Used by the callback alone. */
	int64_t faded_frames;

	/* Written by one side and read by the other. */
	_Atomic int64_t total_frames; /* after which the stream completes; may be set while it runs */
	_Atomic int64_t position;    /* frames exchanged */
	_Atomic int64_t block_count; /* blocks logged, at most block_room */
	_Atomic int state;
	_Atomic int stop;     /* asks the callback to fade and stay silent */
	_Atomic int silent;   /* the callback has handed over silence */
	_Atomic int finished; /* the stream has ended, for whatever reason */
} sc_exchange;

/* sc_new allocates an exchange with its rows, all zero; NULL without memory. */
sc_exchange *sc_new(int play_rows, int64_t play_frames, int record_rows, int64_t ring_frames, int64_t block_room);
void sc_free(sc_exchange *x);

/* sc_callback and sc_finished are handed to PortAudio with the exchange. */
int sc_callback(const void *in, void *out, unsigned long frames, const PaStreamCallbackTimeInfo *time, PaStreamCallbackFlags flags, void *exchange);
void sc_finished(void *exchange);

/* What Go reads and asks for while the stream runs. */
int64_t sc_position(sc_exchange *x);
int64_t sc_block_count(sc_exchange *x);
int sc_state(sc_exchange *x);
int sc_is_silent(sc_exchange *x);
int sc_is_finished(sc_exchange *x);
void sc_stop(sc_exchange *x);
void sc_end_at(sc_exchange *x, int64_t frame);

#endif
