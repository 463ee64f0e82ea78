//go:build cgo

#include "libav.h"
#include <string.h>

static void heard(void *of, int level, const char *format, va_list values)
{
	(void)format;
	(void)values;
	if (!of || level > AV_LOG_ERROR)
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
