#include "libsndfile.h"

#include <string.h>

static sf_count_t memory_length(void *user) {
	return ((memory_file *)user)->length;
}

static sf_count_t memory_seek(sf_count_t offset, int whence, void *user) {
	memory_file *file = user;
	sf_count_t at = offset;
	if (whence == SEEK_CUR) {
		at += file->at;
	} else if (whence == SEEK_END) {
		at += file->length;
	}
	if (at < 0 || at > file->length) {
		return -1;
	}
	file->at = at;
	return at;
}

static sf_count_t memory_read(void *to, sf_count_t count, void *user) {
	memory_file *file = user;
	if (count > file->length - file->at) {
		count = file->length - file->at;
	}
	if (count <= 0) {
		return 0;
	}
	memcpy(to, file->bytes + file->at, count);
	file->at += count;
	return count;
}

static sf_count_t memory_write(const void *from, sf_count_t count, void *user) {
	(void)from;
	(void)count;
	(void)user;
	return 0;
}

static sf_count_t memory_tell(void *user) {
	return ((memory_file *)user)->at;
}

SNDFILE *memory_open(memory_file *file, SF_INFO *info) {
	/* The library copies the callbacks. */
	SF_VIRTUAL_IO callbacks = {memory_length, memory_seek, memory_read, memory_write, memory_tell};
	return sf_open_virtual(&callbacks, SFM_READ, info, file);
}
