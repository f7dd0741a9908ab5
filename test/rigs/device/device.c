/* device is a loudspeaker that is known exactly: a JACK client whose output is
 * its input after a polynomial, a chain of biquads, a delay, one reflection, a
 * gain and some noise, in that order and in double precision. Port 1 goes
 * through all of that; port 2 is a plain wire.
 *
 *   device NAME [delay=FRAMES] [poly=C1,C2,...] [biquad=KIND:HZ:Q:DB]...
 *          [reflection=FRAMES:GAIN] [gain=G] [noise=RMS] [seed=N]
 *
 * Biquads: lowpass highpass bandpass notch allpass peaking lowshelf highshelf,
 * as in the Audio EQ Cookbook (W3C Working Group Note, 8 June 2021).
 *
 * A second client, "ear", hears whatever is connected to port 1 in the same period
 * as a sound card would, while the device, being in a loop, may hear it one period
 * late.
 *
 * It writes "ready" once it runs, and after each sound "last NS": the real-time
 * clock at which its last sample that is not zero has left a sound card that has
 * one period of buffer. */
#include <jack/jack.h>
#include <math.h>
#include <stdatomic.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>
#include <unistd.h>

enum { MAX_BIQUADS = 16, MAX_POLY = 12, LINE = 1 << 17, HALF = 128, PORTS = 2 };

struct biquad {
	char kind[16];
	double hz, q, db;
	double b0, b1, b2, a1, a2; /* a0 is divided out */
	double x1, x2, y1, y2;
};

struct line { /* the last LINE samples */
	double s[LINE];
	unsigned at;
};

static jack_client_t *client, *ear;
static jack_port_t *in[PORTS], *out[PORTS], *ear_in;
static struct biquad biquads[MAX_BIQUADS];
static int biquad_count;
static double poly[MAX_POLY] = {1};
static int poly_count = 1;
static double delay, reflection_delay, reflection_gain, gain = 1, noise;
static uint64_t seed = 1;
static double taps[2 * HALF]; /* of a fractional delay */
static int whole;             /* frames of delay, before the taps */
static int fractional;
static struct line before_delay, before_reflection;
static _Atomic int64_t last_sound_ns;

static void die(const char *what, const char *detail)
{
	fprintf(stderr, "device: %s%s\n", what, detail);
	exit(1);
}

/* design computes one section by the formulas of the cookbook. */
static void design(struct biquad *f, double rate)
{
	double w = 2 * M_PI * f->hz / rate, c = cos(w), alpha = sin(w) / (2 * f->q);
	double A = pow(10, f->db / 40), r = 2 * sqrt(A) * alpha;
	double b0, b1, b2, a0 = 1 + alpha, a1 = -2 * c, a2 = 1 - alpha;
	if (!strcmp(f->kind, "lowpass")) {
		b0 = b2 = (1 - c) / 2, b1 = 1 - c;
	} else if (!strcmp(f->kind, "highpass")) {
		b0 = b2 = (1 + c) / 2, b1 = -(1 + c);
	} else if (!strcmp(f->kind, "bandpass")) { /* 0 dB peak gain */
		b0 = alpha, b1 = 0, b2 = -alpha;
	} else if (!strcmp(f->kind, "notch")) {
		b0 = b2 = 1, b1 = -2 * c;
	} else if (!strcmp(f->kind, "allpass")) {
		b0 = 1 - alpha, b1 = -2 * c, b2 = 1 + alpha;
	} else if (!strcmp(f->kind, "peaking")) {
		b0 = 1 + alpha * A, b1 = -2 * c, b2 = 1 - alpha * A;
		a0 = 1 + alpha / A, a2 = 1 - alpha / A;
	} else if (!strcmp(f->kind, "lowshelf")) {
		b0 = A * (A + 1 - (A - 1) * c + r), b1 = 2 * A * (A - 1 - (A + 1) * c), b2 = A * (A + 1 - (A - 1) * c - r);
		a0 = A + 1 + (A - 1) * c + r, a1 = -2 * (A - 1 + (A + 1) * c), a2 = A + 1 + (A - 1) * c - r;
	} else if (!strcmp(f->kind, "highshelf")) {
		b0 = A * (A + 1 + (A - 1) * c + r), b1 = -2 * A * (A - 1 + (A + 1) * c), b2 = A * (A + 1 + (A - 1) * c - r);
		a0 = A + 1 - (A - 1) * c + r, a1 = 2 * (A - 1 - (A + 1) * c), a2 = A + 1 - (A - 1) * c - r;
	} else {
		die("no such biquad: ", f->kind);
		return;
	}
	f->b0 = b0 / a0, f->b1 = b1 / a0, f->b2 = b2 / a0, f->a1 = a1 / a0, f->a2 = a2 / a0;
}

/* bessel0 is the modified Bessel function of order 0, for the Kaiser window. */
static double bessel0(double x)
{
	double sum = 1, term = 1;
	for (int k = 1; k < 200 && term > 1e-18 * sum; k++) {
		term *= (x / (2 * k)) * (x / (2 * k));
		sum += term;
	}
	return sum;
}

/* set_delay makes the taps: a sinc under a Kaiser window (beta 12), flat within
 * 1e-5 dB up to 0.47 of the sample rate. */
static void set_delay(void)
{
	whole = (int)floor(delay);
	double part = delay - whole;
	fractional = part != 0;
	if (!fractional)
		return;
	if (whole < HALF)
		die("a fractional delay is at least 128 frames", "");
	whole -= HALF - 1;
	for (int k = 0; k < 2 * HALF; k++) {
		double t = k - (HALF - 1) - part, u = t / HALF;
		double window = fabs(u) < 1 ? bessel0(12 * sqrt(1 - u * u)) / bessel0(12) : 0;
		taps[k] = window * (t == 0 ? 1 : sin(M_PI * t) / (M_PI * t));
	}
}

static void push(struct line *l, double x)
{
	l->s[++l->at % LINE] = x;
}

static double back(const struct line *l, int frames)
{
	return l->s[(l->at - (unsigned)frames) % LINE];
}

static double delayed(double x)
{
	push(&before_delay, x);
	if (!fractional)
		return back(&before_delay, whole);
	double sum = 0;
	for (int k = 0; k < 2 * HALF; k++)
		sum += taps[k] * back(&before_delay, whole + k);
	return sum;
}

static double uniform(void) /* 0..1, never 0: xorshift64* */
{
	seed ^= seed >> 12, seed ^= seed << 25, seed ^= seed >> 27;
	return ((double)((seed * 2685821657736338717ULL) >> 11) + 0.5) / 9007199254740992.0;
}

static double device(double x)
{
	double y = 0;
	for (int k = poly_count - 1; k >= 0; k--)
		y = (y + poly[k]) * x;
	for (struct biquad *f = biquads; f < biquads + biquad_count; f++) {
		double z = f->b0 * y + f->b1 * f->x1 + f->b2 * f->x2 - f->a1 * f->y1 - f->a2 * f->y2;
		f->x2 = f->x1, f->x1 = y, f->y2 = f->y1, f->y1 = z;
		y = z;
	}
	y = delayed(y);
	push(&before_reflection, y);
	if (reflection_gain != 0)
		y += reflection_gain * back(&before_reflection, (int)reflection_delay);
	y *= gain;
	if (noise > 0)
		y += noise * sqrt(-2 * log(uniform())) * cos(2 * M_PI * uniform());
	return y;
}

/* hear notes when the last sample that is not zero will have left the card: the
 * period that begins now is played while the next one is computed. */
static int hear(jack_nframes_t n, void *unused)
{
	(void)unused;
	const float *x = jack_port_get_buffer(ear_in, n);
	jack_nframes_t i = n, frames;
	while (i > 0 && x[i - 1] == 0)
		i--;
	jack_time_t began, next;
	float period;
	if (i == 0 || jack_get_cycle_times(ear, &frames, &began, &next, &period))
		return 0;
	struct timespec now;
	clock_gettime(CLOCK_REALTIME, &now);
	double since_us = (double)jack_get_time() - (double)began;
	double ns = (n + i) * 1e9 / jack_get_sample_rate(ear) - since_us * 1e3;
	atomic_store(&last_sound_ns, (int64_t)now.tv_sec * 1000000000 + now.tv_nsec + (int64_t)ns);
	return 0;
}

/* follow connects the ear to whatever plays into port 1. */
static void follow(void)
{
	const char **playing = jack_port_get_all_connections(client, in[0]);
	for (int i = 0; playing && playing[i]; i++)
		if (!jack_port_connected_to(ear_in, playing[i]))
			jack_connect(ear, playing[i], jack_port_name(ear_in));
	jack_free(playing);
}

static int process(jack_nframes_t n, void *unused)
{
	(void)unused;
	const float *x = jack_port_get_buffer(in[0], n);
	float *y = jack_port_get_buffer(out[0], n);
	for (jack_nframes_t i = 0; i < n; i++)
		y[i] = (float)device(x[i]);
	memcpy(jack_port_get_buffer(out[1], n), jack_port_get_buffer(in[1], n), n * sizeof *y);
	return 0;
}

static void read_poly(const char *s)
{
	char *end;
	for (poly_count = 0; *s && poly_count < MAX_POLY; s = *end ? end + 1 : end)
		poly[poly_count++] = strtod(s, &end);
}

static void read_argument(const char *a)
{
	struct biquad *f = &biquads[biquad_count];
	if (!strncmp(a, "poly=", 5)) {
		read_poly(a + 5);
	} else if (sscanf(a, "biquad=%15[a-z]:%lf:%lf:%lf", f->kind, &f->hz, &f->q, &f->db) == 4) {
		if (++biquad_count == MAX_BIQUADS)
			die("too many biquads", "");
	} else if (sscanf(a, "reflection=%lf:%lf", &reflection_delay, &reflection_gain) != 2 &&
	           sscanf(a, "delay=%lf", &delay) != 1 && sscanf(a, "gain=%lf", &gain) != 1 &&
	           sscanf(a, "noise=%lf", &noise) != 1 && sscanf(a, "seed=%lu", &seed) != 1) {
		die("not understood: ", a);
	}
}

static jack_client_t *connect_client(const char *name)
{
	for (int i = 0; i < 200; i++, usleep(50000)) { /* the server may be starting */
		jack_client_t *c = jack_client_open(name, JackNoStartServer | JackUseExactName, NULL);
		if (c)
			return c;
	}
	die("no JACK server within 10 s", "");
	return NULL;
}

static void ignore(const char *message) { (void)message; }

static void open_ports(void)
{
	char name[16];
	for (int i = 0; i < PORTS; i++) {
		snprintf(name, sizeof name, "in_%d", i + 1);
		in[i] = jack_port_register(client, name, JACK_DEFAULT_AUDIO_TYPE, JackPortIsInput, 0);
		snprintf(name, sizeof name, "out_%d", i + 1);
		out[i] = jack_port_register(client, name, JACK_DEFAULT_AUDIO_TYPE, JackPortIsOutput, 0);
		if (!in[i] || !out[i])
			die("the server gives no port", "");
	}
}

int main(int argc, char **argv)
{
	if (argc < 2)
		die("usage: device NAME [delay= poly= biquad= reflection= gain= noise= seed=]", "");
	for (int i = 2; i < argc; i++)
		read_argument(argv[i]);
	if (seed == 0)
		seed = 1; /* the generator stands still at 0 */
	if (delay < 0 || delay > LINE - 2 * HALF || reflection_delay < 0 || reflection_delay >= LINE)
		die("a delay is out of range", "");
	jack_set_error_function(ignore);
	jack_set_info_function(ignore);
	client = connect_client(argv[1]);
	for (int i = 0; i < biquad_count; i++)
		design(&biquads[i], jack_get_sample_rate(client));
	set_delay();
	open_ports();
	ear = connect_client("ear");
	ear_in = jack_port_register(ear, "in", JACK_DEFAULT_AUDIO_TYPE, JackPortIsInput, 0);
	jack_set_process_callback(client, process, NULL);
	jack_set_process_callback(ear, hear, NULL);
	if (!ear_in || jack_activate(client) || jack_activate(ear))
		die("the server does not let it run", "");
	printf("ready\n");
	fflush(stdout);
	int64_t told = 0;
	for (;; usleep(20000)) {
		follow();
		int64_t last = atomic_load(&last_sound_ns);
		struct timespec now;
		clock_gettime(CLOCK_REALTIME, &now);
		if (last != told && (int64_t)now.tv_sec * 1000000000 + now.tv_nsec - last > 200000000) {
			printf("last %ld\n", (long)last);
			fflush(stdout);
			told = last;
		}
	}
}
