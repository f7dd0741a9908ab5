package soundfile

/*
#cgo pkg-config: sndfile
#include <stdlib.h>
#include "libsndfile.h"
*/
import "C"

import (
	"os"
	"runtime"
	"unsafe"
)

// reader is a FLAC file in memory, opened by libsndfile.
type reader struct {
	handle *C.SNDFILE
	file   *C.memory_file
	pin    runtime.Pinner
	info   C.SF_INFO
}

// openMemory opens the bytes of a file, which must not be changed until close. It
// gives nil where the library does not know what to do with them.
func openMemory(b []byte) *reader {
	r := &reader{file: (*C.memory_file)(C.calloc(1, C.sizeof_memory_file))}
	start := unsafe.SliceData(b)
	r.pin.Pin(start)
	r.file.bytes = (*C.uchar)(start)
	r.file.length = C.sf_count_t(len(b))
	r.handle = C.memory_open(r.file, &r.info)
	if r.handle == nil {
		r.release()
		return nil
	}
	return r
}

// read fills whole frames of samples, left-justified in 32 bits, and says how many
// frames it could.
func (r *reader) read(dst []int32, channels int) int {
	return int(C.sf_readf_int(r.handle, (*C.int)(&dst[0]), C.sf_count_t(len(dst)/channels)))
}

// failed tells whether the library has met something broken.
func (r *reader) failed() bool { return C.sf_error(r.handle) != 0 }

func (r *reader) close() {
	C.sf_close(r.handle)
	r.release()
}

func (r *reader) release() {
	r.pin.Unpin()
	C.free(unsafe.Pointer(r.file))
}

// writer is a file being written by libsndfile.
type writer struct {
	handle *C.SNDFILE
}

// openWriter begins to write to an open file, which the caller closes. It gives
// nil where the library refuses the format, the rate or the number of channels.
func openWriter(f *os.File, format C.int, rateHz, channels int) *writer {
	info := C.SF_INFO{samplerate: C.int(rateHz), channels: C.int(channels), format: format}
	handle := C.sf_open_fd(C.int(f.Fd()), C.SFM_WRITE, &info, C.SF_FALSE)
	if handle == nil {
		return nil
	}
	// The PEAK chunk holds the time of day, and equal sounds shall give equal files.
	C.sf_command(handle, C.SFC_SET_ADD_PEAK_CHUNK, nil, C.SF_FALSE)
	// Nothing beyond full scale comes this far; should it ever, it must not wrap.
	C.sf_command(handle, C.SFC_SET_CLIPPING, nil, C.SF_TRUE)
	return &writer{handle}
}

// writeInts writes samples that are left-justified in 32 bits, and tells whether
// all could be.
func (w *writer) writeInts(src []int32) bool {
	return C.sf_write_int(w.handle, (*C.int)(&src[0]), C.sf_count_t(len(src))) == C.sf_count_t(len(src))
}

// writeFloats writes samples as they are, and tells whether all could be.
func (w *writer) writeFloats(src []float64) bool {
	return C.sf_write_double(w.handle, (*C.double)(&src[0]), C.sf_count_t(len(src))) == C.sf_count_t(len(src))
}

// close finishes the header, and tells whether it could be written.
func (w *writer) close() bool {
	failed := C.sf_error(w.handle) != 0
	return C.sf_close(w.handle) == 0 && !failed
}

// libraryFormat is the library's number for a format.
func libraryFormat(f Format, long bool, channels int) C.int {
	container := C.int(C.SF_FORMAT_WAV)
	switch {
	case f.flac():
		container = C.SF_FORMAT_FLAC
	case long:
		container = C.SF_FORMAT_RF64
	case channels > 2:
		container = C.SF_FORMAT_WAVEX
	}
	switch f {
	case WAV16, FLAC16:
		return container | C.SF_FORMAT_PCM_16
	case WAV24, FLAC24:
		return container | C.SF_FORMAT_PCM_24
	case WAV32:
		return container | C.SF_FORMAT_PCM_32
	case WAVFloat32:
		return container | C.SF_FORMAT_FLOAT
	}
	return container | C.SF_FORMAT_DOUBLE
}
