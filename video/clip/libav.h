// What Go cannot say of FFmpeg's headers by itself.
#ifndef STEADFALL_LIBAV_H
#define STEADFALL_LIBAV_H
#include <libavcodec/avcodec.h>
#include <libavformat/avformat.h>
#include <libavutil/display.h>
#include <libavutil/imgutils.h>
#include <libavutil/pixdesc.h>
#include <libswscale/swscale.h>

enum { libav_again = AVERROR(EAGAIN), libav_end = AVERROR_EOF };
#define libav_no_time INT64_MIN // AV_NOPTS_VALUE, in a form that Go can read

// Complaints of the decoder and of the container's reader are counted and not written: each
// has where it counts as its opaque.
void libav_listen(void);
typedef struct { _Atomic int decoder, container; } libav_complaints;
static inline int libav_decoder_complaints(libav_complaints *c) { return c->decoder; }
static inline int libav_container_complaints(libav_complaints *c) { return c->container; }

// The next tag after one, or the first.
static inline AVDictionaryEntry *libav_tag(AVDictionary *all, AVDictionaryEntry *after)
{
	return av_dict_get(all, "", after, AV_DICT_IGNORE_SUFFIX);
}

#endif
