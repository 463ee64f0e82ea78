// From the decoder's planes to small pictures as shown.
#ifndef STEADFALL_PIXELS_H
#define STEADFALL_PIXELS_H
#include <stddef.h>
#include <stdint.h>

// A part of a stored picture: where it begins, how large it is in shrunk pixels, by what
// whole number it is shrunk each way, and how it is turned: columns become rows, then left
// and right, then top and bottom change over.
typedef struct {
	int x, y, w, h, shrink;
	int across, mirror, upend;
} pixels_part;

// Where samples lie: the first, bytes from row to row, and bytes of a sample (1, or 2 in the
// machine's order).
typedef struct {
	const uint8_t *at;
	ptrdiff_t stride;
	int bytes;
} pixels_plane;

// How the mean of some samples becomes a grey of 0 to 255: (mean - black) * gain / 65536; or,
// where there is a curve, its entry for the mean.
typedef struct {
	int black, gain;
	const uint8_t *curve;
} pixels_levels;

// One byte a pixel into out, row by row of the picture as shown.
void pixels_grey(pixels_plane from, pixels_part part, pixels_levels levels, uint8_t *out);

// Three bytes a pixel, from three samples a pixel in the same order. Samples of two bytes go
// through a table of side * side * side entries of three bytes, the first sample slowest, and
// are blended between its entries.
void pixels_colour(pixels_plane from, pixels_part part, const uint8_t *table, int side, uint8_t *out);

#endif
