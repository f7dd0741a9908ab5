/* Turns the callback by hand, block by block, as a driver would, and checks what
 * it does to the output and keeps of the input. Built and run by the Go test. */
#include "../exchange.c"

#include <math.h>
#include <stdio.h>

enum { FRAMES = 64 };

static int failures;

#define CHECK(what)                                                   \
	do {                                                          \
		if (!(what)) {                                        \
			printf("line %d: not so: %s\n", __LINE__, #what); \
			failures++;                                   \
		}                                                     \
	} while (0)

static float left_out[FRAMES], right_out[FRAMES], left_in[FRAMES], right_in[FRAMES];

/* turn runs one block; what is in the output before must not come out. */
static int turn(sc_exchange *x, int with_input, unsigned long flags)
{
	float *out[] = {left_out, right_out}, *in[] = {left_in, right_in};
	for (int i = 0; i < FRAMES; i++)
		left_out[i] = right_out[i] = 0.9f;
	return sc_callback(with_input ? in : NULL, out, FRAMES, NULL, flags, x);
}

static sc_exchange *fresh(int64_t total, int64_t ring)
{
	sc_exchange *x = sc_new(1, 2 * FRAMES, 1, ring, 100);
	x->out_channels = x->in_channels = 2;
	x->play_channel[0] = 1;
	x->record_channel[0] = 1;
	x->total_frames = total;
	x->fade_frames = 16;
	x->limit = 0.5f;
	for (int i = 0; i < 2 * FRAMES; i++)
		x->play[0][i] = 0.25f;
	for (int i = 0; i < FRAMES; i++)
		right_in[i] = 0.001f * (float)(i + 1);
	return x;
}

static int all(const float *s, int from, int to, float want)
{
	for (int i = from; i < to; i++)
		if (s[i] != want)
			return 0;
	return 1;
}

static void plays_and_completes(void)
{
	sc_exchange *x = fresh(3 * FRAMES - 10, 3 * FRAMES - 10);
	CHECK(turn(x, 1, 0) == paContinue);
	CHECK(all(right_out, 0, FRAMES, 0.25f) && all(left_out, 0, FRAMES, 0));
	CHECK(turn(x, 1, paInputOverflow) == paContinue);
	CHECK(turn(x, 0, 0) == paComplete); /* nothing left to play, no input */
	CHECK(all(right_out, 0, FRAMES, 0));
	CHECK(sc_position(x) == 3 * FRAMES - 10 && sc_state(x) == SC_DONE);
	CHECK(x->record[0][0] == 0.001f && x->record[0][FRAMES + 1] == 0.002f);
	CHECK(all(x->record[0], 2 * FRAMES, 3 * FRAMES - 10, 0));
	CHECK(sc_block_count(x) == 3 && x->blocks[1].frame == FRAMES && x->blocks[1].flags == paInputOverflow);
	CHECK(x->blocks[0].mono_ns > 0 && x->blocks[2].mono_ns >= x->blocks[1].mono_ns);
	sc_free(x);
}

static void goes_round(void)
{
	sc_exchange *x = fresh(1000 * FRAMES, FRAMES + 6);
	for (int i = 0; i < 3; i++)
		turn(x, 1, 0);
	/* frame 2*64+7 is at (2*64+7) mod 70 = 65, and is sample 7 of its block */
	CHECK(x->record[0][65] == right_in[7]);
	CHECK(x->record[0][(3 * FRAMES - 1) % (FRAMES + 6)] == right_in[FRAMES - 1]);
	sc_free(x);
}

/* A recording that runs on until it is told its end, in the future or the past. */
static void told_its_end(int64_t end, int turns, int64_t position)
{
	sc_exchange *x = fresh(INT64_MAX, 3 * FRAMES);
	turn(x, 1, 0);
	CHECK(turn(x, 1, 0) == paContinue);
	sc_end_at(x, end);
	for (int i = 1; i < turns; i++)
		CHECK(turn(x, 1, 0) == paContinue);
	CHECK(turn(x, 1, 0) == paComplete);
	CHECK(sc_position(x) == position && sc_state(x) == SC_DONE);
	sc_free(x);
}

static void log_fills(void)
{
	sc_exchange *x = fresh(1000 * FRAMES, FRAMES);
	for (int i = 0; i < 150; i++)
		turn(x, 1, 0);
	CHECK(sc_block_count(x) == 100 && sc_position(x) == 150 * FRAMES);
	sc_free(x);
}

static void stops_softly(void)
{
	sc_exchange *x = fresh(1000 * FRAMES, FRAMES);
	turn(x, 1, 0);
	sc_stop(x);
	CHECK(!sc_is_silent(x));
	CHECK(turn(x, 1, 0) == paContinue); /* goes on, in silence, until it is aborted */
	CHECK(sc_is_silent(x));
	for (int i = 1; i < FRAMES; i++)
		CHECK(right_out[i] <= right_out[i - 1] && right_out[i - 1] - right_out[i] < 0.25f / 15);
	CHECK(right_out[0] > 0.2f && right_out[14] > 0 && all(right_out, 15, FRAMES, 0));
	CHECK(turn(x, 1, 0) == paContinue && all(right_out, 0, FRAMES, 0));
	sc_free(x);
}

static void refuses(float sample)
{
	sc_exchange *x = fresh(1000 * FRAMES, FRAMES);
	x->play[0][FRAMES + 40] = sample;
	CHECK(turn(x, 1, 0) == paContinue);
	CHECK(turn(x, 1, 0) == paAbort);
	CHECK(all(left_out, 0, FRAMES, 0) && all(right_out, 0, FRAMES, 0));
	CHECK(sc_state(x) == SC_OVER_LIMIT);
	sc_free(x);
}

int main(void)
{
	plays_and_completes();
	goes_round();
	told_its_end(3 * FRAMES + 5, 2, 3 * FRAMES + 5);
	told_its_end(FRAMES, 1, 2 * FRAMES);
	log_fills();
	stops_softly();
	refuses(0.5000001f);
	refuses(-1);
	refuses(NAN);
	refuses(INFINITY);
	return failures != 0;
}
