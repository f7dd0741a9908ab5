package soundcard

/*
#cgo linux LDFLAGS: -lasound -ldl
#define _GNU_SOURCE
#include <alsa/asoundlib.h>
#include <dlfcn.h>

static void ignore_alsa(const char *file, int line, const char *function, int err, const char *fmt, ...) {}
static void ignore_jack(const char *message) {}

static void silence_jack(const char *setter)
{
	void (*set)(void (*)(const char *)) = (void (*)(void (*)(const char *)))dlsym(RTLD_DEFAULT, setter);
	if (set)
		set(ignore_jack);
}

static void silence(void)
{
	snd_lib_error_set_handler(ignore_alsa);
	silence_jack("jack_set_error_function");
	silence_jack("jack_set_info_function");
}
*/
import "C"

import "os"

// noServerStart keeps the JACK library from starting a server of its own, which
// would take the sound card from the desktop.
const noServerStart = "JACK_NO_START_SERVER"

// quieten keeps ALSA and JACK from writing to standard error and from starting
// servers. Both libraries keep this for the whole process and offer no other way.
func quieten() {
	C.silence()
	if _, set := os.LookupEnv(noServerStart); !set {
		os.Setenv(noServerStart, "1")
	}
}
