//go:build cgo

#include "pixels.h"
#include <string.h>

// The loops below are written for the compiler to do many pixels at once; on amd64 it makes
// them twice, and the machine's own is picked when the program starts.
#if defined(__x86_64__) && defined(__GNUC__) && !defined(__clang__)
#define WIDE __attribute__((target_clones("arch=x86-64-v3", "default")))
#else
#define WIDE
#endif

// Rows are shrunk a band at a time, so that turning one reads what is still at hand.
enum { BAND = 16, WIDEST = 8192 };

static uint8_t clamped(int64_t v) { return v < 0 ? 0 : v > 255 ? 255 : (uint8_t)v; }

// One row of greys where nothing, or the half, is taken away, as nearly always.
WIDE static void whole_row(const uint8_t *a, uint8_t *out, int w, int black, int gain)
{
	for (int x = 0; x < w; x++) {
		int v = ((a[x] - black) * gain + (1 << 15)) >> 16;
		out[x] = v < 0 ? 0 : v > 255 ? 255 : v;
	}
}

WIDE static void half_row(const uint8_t *a, const uint8_t *b, uint8_t *out, int w, int black, int gain)
{
	for (int x = 0; x < w; x++) {
		int sum = a[2 * x] + a[2 * x + 1] + b[2 * x] + b[2 * x + 1];
		int v = ((sum - 4 * black) * gain + (1 << 17)) >> 18;
		out[x] = v < 0 ? 0 : v > 255 ? 255 : v;
	}
}

WIDE static void add_bytes(const uint8_t *from, uint32_t *sum, int n)
{
	for (int i = 0; i < n; i++)
		sum[i] += from[i];
}

WIDE static void add_words(const uint16_t *from, uint32_t *sum, int n)
{
	for (int i = 0; i < n; i++)
		sum[i] += from[i];
}

// sum is the columns of a band of rows summed up, n samples wide.
static void columns(pixels_plane from, int x, int y, int rows, uint32_t *sum, int n)
{
	memset(sum, 0, (size_t)n * sizeof *sum);
	for (int r = 0; r < rows; r++) {
		const uint8_t *row = from.at + (y + r) * from.stride + (ptrdiff_t)x * from.bytes;
		if (from.bytes == 1)
			add_bytes(row, sum, n);
		else
			add_words((const uint16_t *)row, sum, n);
	}
}

static void grey_row(pixels_plane from, pixels_part p, pixels_levels l, int row, uint8_t *out)
{
	int k = p.shrink, y = p.y + row * k;
	const uint8_t *at = from.at + y * from.stride + (ptrdiff_t)p.x * from.bytes;
	if (!l.curve && from.bytes == 1 && k == 1) {
		whole_row(at, out, p.w, l.black, l.gain);
		return;
	}
	if (!l.curve && from.bytes == 1 && k == 2) {
		half_row(at, at + from.stride, out, p.w, l.black, l.gain);
		return;
	}
	uint32_t sum[WIDEST];
	columns(from, p.x, y, k, sum, p.w * k);
	int64_t all = (int64_t)k * k;
	for (int x = 0; x < p.w; x++) {
		int64_t s = 0;
		for (int i = 0; i < k; i++)
			s += sum[x * k + i];
		out[x] = l.curve ? l.curve[(s + all / 2) / all] : clamped(((s - all * l.black) * l.gain + all * (1 << 15)) / (all << 16));
	}
}

// lay puts a band of n rows, the first of which is row first of the part, where they are
// shown; a pixel has c bytes.
static void lay(const uint8_t *band, int n, int first, pixels_part p, int c, uint8_t *out)
{
	size_t row = (size_t)p.w * c;
	if (!p.across) {
		for (int r = 0; r < n; r++) {
			int y = p.upend ? p.h - 1 - first - r : first + r;
			uint8_t *to = out + y * row;
			if (!p.mirror)
				memcpy(to, band + r * row, row);
			for (int x = 0; p.mirror && x < p.w; x++)
				memcpy(to + (size_t)(p.w - 1 - x) * c, band + r * row + (size_t)x * c, c);
		}
		return;
	}
	for (int x = 0; x < p.w; x++) {
		int y = p.upend ? p.w - 1 - x : x;
		uint8_t *to = out + ((size_t)y * p.h + (p.mirror ? p.h - first - n : first)) * c;
		const uint8_t *at = band + (size_t)x * c;
		for (int r = 0; r < n; r++)
			memcpy(to + (size_t)(p.mirror ? n - 1 - r : r) * c, at + r * row, c);
	}
}

// The same for one byte a pixel, with nothing left to decide inside.
static void lay_across(const uint8_t *band, int n, int first, pixels_part p, uint8_t *out)
{
	for (int x = 0; x < p.w; x++) {
		int y = p.upend ? p.w - 1 - x : x;
		uint8_t *to = out + (size_t)y * p.h + (p.mirror ? p.h - first - n : first);
		if (p.mirror)
			for (int r = 0; r < n; r++)
				to[n - 1 - r] = band[x + r * p.w];
		else
			for (int r = 0; r < n; r++)
				to[r] = band[x + r * p.w];
	}
}

void pixels_grey(pixels_plane from, pixels_part p, pixels_levels l, uint8_t *out)
{
	uint8_t band[BAND * WIDEST];
	for (int first = 0; first < p.h; first += BAND) {
		int n = p.h - first < BAND ? p.h - first : BAND;
		uint8_t *rows = p.across || p.mirror || p.upend ? band : out + (size_t)first * p.w;
		for (int r = 0; r < n; r++)
			grey_row(from, p, l, first + r, rows + (size_t)r * p.w);
		if (rows != band)
			continue;
		if (p.across)
			lay_across(band, n, first, p, out);
		else
			lay(band, n, first, p, 1, out);
	}
}

// blended is what a table says between its entries.
static void blended(const uint32_t *sample, const uint8_t *table, int side, uint8_t *out)
{
	uint32_t cell[3], part[3];
	for (int i = 0; i < 3; i++) {
		uint64_t at = (uint64_t)sample[i] * (side - 1); // of 65535
		cell[i] = at / 65535;
		if (cell[i] > (uint32_t)side - 2)
			cell[i] = side - 2;
		part[i] = (at - (uint64_t)cell[i] * 65535) * 256 / 65535;
	}
	uint32_t sum[3] = {1 << 23, 1 << 23, 1 << 23};
	for (int corner = 0; corner < 8; corner++) {
		uint32_t weight = 1;
		size_t at = 0;
		for (int i = 0; i < 3; i++) {
			int up = corner >> i & 1;
			weight *= up ? part[i] : 256 - part[i];
			at = at * side + cell[i] + up;
		}
		for (int i = 0; i < 3; i++)
			sum[i] += weight * table[3 * at + i];
	}
	for (int i = 0; i < 3; i++)
		out[i] = sum[i] >> 24;
}

void pixels_colour(pixels_plane from, pixels_part p, const uint8_t *table, int side, uint8_t *out)
{
	uint32_t sum[3 * WIDEST], k = p.shrink, all = k * k;
	uint8_t band[3 * WIDEST];
	for (int row = 0; row < p.h; row++) {
		columns(from, 3 * p.x, p.y + row * k, k, sum, 3 * p.w * k);
		for (int x = 0; x < p.w; x++) {
			uint32_t mean[3];
			for (int c = 0; c < 3; c++) {
				uint64_t s = 0;
				for (uint32_t i = 0; i < k; i++)
					s += sum[3 * (x * k + i) + c];
				mean[c] = (s + all / 2) / all;
			}
			if (table)
				blended(mean, table, side, band + 3 * x);
			else
				for (int c = 0; c < 3; c++)
					band[3 * x + c] = mean[c];
		}
		lay(band, 1, row, p, 3, out);
	}
}
