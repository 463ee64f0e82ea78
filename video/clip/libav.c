//go:build cgo

#include "libav.h"
#include <string.h>

// A decoder that makes up what is missing of a picture calls that no error; the mark that it
// leaves on the picture comes too late where pictures are decoded side by side.
static int conceals(const char *format) { return strncmp(format, "concealing ", 11) == 0; }

static void heard(void *of, int level, const char *format, va_list values)
{
	(void)values;
	if (!of || (level > AV_LOG_ERROR && !conceals(format)))
		return;
	const AVClass *class = *(const AVClass **)of;
	libav_complaints *c;
	if (class == avcodec_get_class()) {
		if ((c = ((AVCodecContext *)of)->opaque))
			c->decoder++;
	} else if (class == avformat_get_class()) {
		if ((c = ((AVFormatContext *)of)->opaque))
			c->container++;
	}
}

void libav_listen(void) { av_log_set_callback(heard); }
