/* A FLAC file that lies in memory, as libsndfile wants to see it. */

#ifndef STILLROOM_LIBSNDFILE_H
#define STILLROOM_LIBSNDFILE_H

#include <sndfile.h>

typedef struct {
	const unsigned char *bytes;
	sf_count_t length;
	sf_count_t at;
} memory_file;

/* memory_open opens a file in memory for reading. The memory_file and its bytes
   must stay where they are until sf_close. */
SNDFILE *memory_open(memory_file *file, SF_INFO *info);

#endif
