// Pyramidal Lucas–Kanade (Bouguet 2001, "Pyramidal implementation of the affine Lucas Kanade feature
// tracker"), sixteen pixels at a time on 16-bit integers. It finds what OpenCV's does, whose
// scales, limits and stopping rules it has: gradients are Scharr's, greys have five more bits.

#include "lk.h"

#include <math.h>
#include <stddef.h>
#include <stdlib.h>
#include <string.h>

#if defined(__x86_64__)

#include <immintrin.h>

#define AVX2 __attribute__((target("avx2")))
#define INLINE static inline __attribute__((always_inline, target("avx2")))

// ---- the pyramid

// What is read past the end of the last row, and of a row of sums.
enum { SPARE = 64 };

lk_pyramid *lk_new(int width, int height) {
	lk_pyramid *p = calloc(1, sizeof *p);
	if (!p)
		return NULL;
	size_t offset[LK_LEVELS], size = 0;
	for (; p->levels < LK_LEVELS && width > 8 && height > 8; p->levels++) {
		lk_plane *l = &p->plane[p->levels];
		l->width = width, l->height = height;
		l->stride = (width + 2 * LK_BORDER + 31) / 32 * 32;
		offset[p->levels] = size + (size_t)LK_BORDER * l->stride + LK_BORDER;
		size += (size_t)l->stride * (height + 2 * LK_BORDER);
		width = (width + 1) / 2, height = (height + 1) / 2;
	}
	p->memory = malloc(size + SPARE);
	if (!p->memory || !p->levels) {
		lk_free(p);
		return NULL;
	}
	for (int i = 0; i < p->levels; i++)
		p->plane[i].at = p->memory + offset[i];
	return p;
}

void lk_free(lk_pyramid *p) {
	if (!p)
		return;
	free(p->memory);
	free(p);
}

// border repeats a plane's outermost pixels.
static void border(const lk_plane *l) {
	for (int y = 0; y < l->height; y++) {
		uint8_t *row = l->at + (size_t)y * l->stride;
		memset(row - LK_BORDER, row[0], LK_BORDER);
		memset(row + l->width, row[l->width - 1], LK_BORDER);
	}
	uint8_t *first = l->at - LK_BORDER, *last = first + (size_t)(l->height - 1) * l->stride;
	size_t n = (size_t)l->width + 2 * LK_BORDER;
	for (int y = 1; y <= LK_BORDER; y++) {
		memcpy(first - (size_t)y * l->stride, first, n);
		memcpy(last + (size_t)y * l->stride, last, n);
	}
}

// wide is sixteen pixels.
INLINE __m256i wide(const uint8_t *p) { return _mm256_cvtepu8_epi16(_mm_loadu_si128((const void *)p)); }

INLINE __m256i times(__m256i a, short k) { return _mm256_mullo_epi16(a, _mm256_set1_epi16(k)); }

// halve takes every second pixel of a plane weighed by 1 4 6 4 1 with its neighbours. sums has room for a
// row and the border beside it.
AVX2 static void halve(const lk_plane *from, const lk_plane *to, uint16_t *sums) {
	const int st = from->stride;
	const __m256i even = _mm256_set1_epi32(0xffff), half = _mm256_set1_epi32(128);
	for (int y = 0; y < to->height; y++) {
		const uint8_t *row = from->at + (ptrdiff_t)(2 * y) * st - 2;
		for (int x = 0; x < 2 * to->width + 4; x += 16) {
			const uint8_t *p = row + x;
			__m256i outer = _mm256_add_epi16(wide(p - 2 * st), wide(p + 2 * st));
			__m256i inner = _mm256_add_epi16(wide(p - st), wide(p + st));
			__m256i sum = _mm256_add_epi16(outer, _mm256_add_epi16(times(inner, 4), times(wide(p), 6)));
			_mm256_storeu_si256((void *)(sums + x), sum);
		}
		uint8_t *out = to->at + (ptrdiff_t)y * to->stride;
		for (int x = 0; x < to->width; x += 8) { // eight of 32 bits; what is past the row is border
			__m256i a = _mm256_loadu_si256((const void *)(sums + 2 * x));
			__m256i b = _mm256_loadu_si256((const void *)(sums + 2 * x + 2));
			__m256i c = _mm256_loadu_si256((const void *)(sums + 2 * x + 4));
			__m256i outer = _mm256_add_epi32(_mm256_and_si256(a, even), _mm256_and_si256(c, even));
			__m256i inner = _mm256_add_epi32(_mm256_srli_epi32(a, 16), _mm256_srli_epi32(b, 16));
			__m256i middle = _mm256_mullo_epi32(_mm256_and_si256(b, even), _mm256_set1_epi32(6));
			__m256i sum = _mm256_add_epi32(_mm256_add_epi32(outer, _mm256_slli_epi32(inner, 2)), middle);
			sum = _mm256_srli_epi32(_mm256_add_epi32(sum, half), 8);
			__m128i eight = _mm_packus_epi32(_mm256_castsi256_si128(sum), _mm256_extracti128_si256(sum, 1));
			_mm_storel_epi64((void *)(out + x), _mm_packus_epi16(eight, eight));
		}
	}
}

void lk_build(lk_pyramid *p, const uint8_t *grey, int stride) {
	const lk_plane *whole = &p->plane[0];
	uint16_t sums[whole->width + 2 * SPARE];
	for (int y = 0; y < whole->height; y++)
		memcpy(whole->at + (size_t)y * whole->stride, grey + (size_t)y * stride, whole->width);
	border(whole);
	for (int i = 1; i < p->levels; i++) {
		halve(&p->plane[i - 1], &p->plane[i], sums);
		border(&p->plane[i]);
	}
}

// ---- following

// The search on a level ends after so many steps, or with one shorter than that, px.
enum { MOST_STEPS = 15 };
static const float SHORT_STEP = 0.02f;

// Sums of products are made by OpenCV's scale, so that its limits hold.
static const float SCALE = 1.f / (1 << 20);

// MOST_BLOCKS of sixteen pixels hold a row of the widest window.
enum { MOST_BLOCKS = (LK_WINDOW + 15) / 16, ROWS_A_SUM = 16 };

// between is a and b weighed; share is that of b, of 32768.
INLINE __m256i between(__m256i a, __m256i b, __m256i share) {
	return _mm256_add_epi16(a, _mm256_mulhrs_epi16(_mm256_sub_epi16(b, a), share));
}

INLINE __m256i share(float part) { return _mm256_set1_epi16((short)fminf(part * 32768.f + .5f, 32767.f)); }

// grey is sixteen pixels with seven more bits, between those at p and those one to the right.
INLINE __m256i grey(const uint8_t *p, __m256i right) {
	return between(_mm256_slli_epi16(wide(p), 7), _mm256_slli_epi16(wide(p + 1), 7), right);
}

INLINE float sum(__m256 v) {
	__m128 s = _mm_add_ps(_mm256_castps256_ps128(v), _mm256_extractf128_ps(v, 1));
	s = _mm_add_ps(s, _mm_movehl_ps(s, s));
	return _mm_cvtss_f32(_mm_add_ss(s, _mm_shuffle_ps(s, s, 1)));
}

// flush adds sums of 32 bits to those of floats before they can run over.
INLINE void flush(__m256 *total, __m256i *part) {
	*total = _mm256_add_ps(*total, _mm256_cvtepi32_ps(*part));
	*part = _mm256_setzero_si256();
}

// A patch is the window around a point: greys, gradients, and the gradients' matrix.
typedef struct {
	__m256i grey[LK_WINDOW * MOST_BLOCKS], dx[LK_WINDOW * MOST_BLOCKS], dy[LK_WINDOW * MOST_BLOCKS];
	float xx, xy, yy;
} patch;

// A slope is what a row of pixels adds to Scharr's gradients of its neighbours, for the pixels at hand and for
// those one to the right.
typedef struct {
	__m256i across[2], along[2];
} slope;

INLINE slope slope_of(const uint8_t *p) {
	slope s;
	for (int j = 0; j < 2; j++, p++) {
		__m256i left = wide(p - 1), right = wide(p + 1);
		s.across[j] = _mm256_sub_epi16(right, left);
		s.along[j] = _mm256_add_epi16(times(_mm256_add_epi16(left, right), 3), times(wide(p), 10));
	}
	return s;
}

// ones are the pixels of a block that are in the window; those before and after are none.
INLINE __m256i ones(int count) {
	static const int16_t mask[32] = {-1, -1, -1, -1, -1, -1, -1, -1, -1, -1, -1, -1, -1, -1, -1, -1};
	return _mm256_loadu_si256((const void *)(mask + 16 - (count < 16 ? count : 16)));
}

// take fills the patch whose first pixel is at x, y.
INLINE void take(patch *t, const lk_plane *l, float x, float y, int window, const int blocks) {
	const int ix = (int)floorf(x), iy = (int)floorf(y), st = l->stride;
	const __m256i right = share(x - ix), below = share(y - iy);
	__m256 xx = _mm256_setzero_ps(), xy = xx, yy = xx;
	for (int k = 0; k < blocks; k++) {
		const __m256i inside = ones(window - 16 * k);
		const uint8_t *p = l->at + (ptrdiff_t)iy * st + ix + 16 * k;
		slope over = slope_of(p - st), at = slope_of(p);
		__m256i grey0 = _mm256_setzero_si256(), dx0 = grey0, dy0 = grey0; // of the row before
		__m256i sxx = grey0, sxy = grey0, syy = grey0;
		for (int r = 0; r <= window; r++, p += st) {
			slope under = slope_of(p + st);
			__m256i dx[2], dy[2];
			for (int j = 0; j < 2; j++) {
				dx[j] = _mm256_add_epi16(times(_mm256_add_epi16(over.across[j], under.across[j]), 3), times(at.across[j], 10));
				dy[j] = _mm256_sub_epi16(under.along[j], over.along[j]);
			}
			__m256i grey1 = grey(p, right), dx1 = between(dx[0], dx[1], right), dy1 = between(dy[0], dy[1], right);
			if (r > 0) {
				__m256i gx = _mm256_and_si256(between(dx0, dx1, below), inside);
				__m256i gy = _mm256_and_si256(between(dy0, dy1, below), inside);
				int i = (r - 1) * blocks + k;
				t->grey[i] = between(grey0, grey1, below), t->dx[i] = gx, t->dy[i] = gy;
				sxx = _mm256_add_epi32(sxx, _mm256_madd_epi16(gx, gx));
				sxy = _mm256_add_epi32(sxy, _mm256_madd_epi16(gx, gy));
				syy = _mm256_add_epi32(syy, _mm256_madd_epi16(gy, gy));
				if (r % ROWS_A_SUM == 0)
					flush(&xx, &sxx), flush(&xy, &sxy), flush(&yy, &syy);
			}
			grey0 = grey1, dx0 = dx1, dy0 = dy1, over = at, at = under;
		}
		flush(&xx, &sxx), flush(&xy, &sxy), flush(&yy, &syy);
	}
	t->xx = sum(xx) * SCALE, t->xy = sum(xy) * SCALE, t->yy = sum(yy) * SCALE;
}

// differ sums what the picture at x, y has more than the patch, times its gradients.
INLINE void differ(const patch *t, const lk_plane *l, float x, float y, int window, const int blocks, float *bx, float *by) {
	const int ix = (int)floorf(x), iy = (int)floorf(y);
	const __m256i right = share(x - ix), below = share(y - iy);
	__m256 sx = _mm256_setzero_ps(), sy = sx;
	for (int k = 0; k < blocks; k++) {
		const uint8_t *p = l->at + (ptrdiff_t)iy * l->stride + ix + 16 * k;
		__m256i grey0 = grey(p, right), px = _mm256_setzero_si256(), py = px;
		for (int r = 0; r < window; r++) {
			p += l->stride;
			__m256i grey1 = grey(p, right);
			__m256i d = _mm256_srai_epi16(_mm256_sub_epi16(between(grey0, grey1, below), t->grey[r * blocks + k]), 2);
			px = _mm256_add_epi32(px, _mm256_madd_epi16(d, t->dx[r * blocks + k]));
			py = _mm256_add_epi32(py, _mm256_madd_epi16(d, t->dy[r * blocks + k]));
			if (r % ROWS_A_SUM == ROWS_A_SUM - 1)
				flush(&sx, &px), flush(&sy, &py);
			grey0 = grey1;
		}
		flush(&sx, &px), flush(&sy, &py);
	}
	*bx = sum(sx) * SCALE, *by = sum(sy) * SCALE;
}

// reaches tells whether a window whose first pixel is at x, y touches a plane.
INLINE int reaches(const lk_plane *l, float x, float y, int window) {
	return x >= -window && y >= -window && x < l->width && y < l->height; // not of a NaN either
}

// on_level follows one point on one level, and returns whether it could.
INLINE int on_level(const lk_plane *a, const lk_plane *b, float fromx, float fromy, float *tox, float *toy, int window,
	const int blocks, float least_texture, float *texture) {
	const float half = (window - 1) * .5f;
	if (!reaches(a, fromx - half, fromy - half, window))
		return 0;
	patch t;
	take(&t, a, fromx - half, fromy - half, window, blocks);
	const float det = t.xx * t.yy - t.xy * t.xy, apart = t.xx - t.yy;
	*texture = (t.xx + t.yy - sqrtf(apart * apart + 4 * t.xy * t.xy)) / (2 * window * window);
	if (*texture < least_texture || det < 1.1920929e-07f)
		return 0;
	float x = *tox - half, y = *toy - half, lastx = 0, lasty = 0;
	for (int i = 0; i < MOST_STEPS; i++) {
		if (!reaches(b, x, y, window))
			return 0;
		float bx, by;
		differ(&t, b, x, y, window, blocks, &bx, &by);
		float dx = (t.xy * by - t.yy * bx) / det, dy = (t.xy * bx - t.xx * by) / det;
		x += dx, y += dy;
		if (dx * dx + dy * dy <= SHORT_STEP * SHORT_STEP)
			break;
		if (i > 0 && fabsf(dx + lastx) < .01f && fabsf(dy + lasty) < .01f) { // to and fro
			x -= dx / 2, y -= dy / 2;
			break;
		}
		lastx = dx, lasty = dy;
	}
	*tox = x + half, *toy = y + half;
	return 1;
}

INLINE void follow(const lk_pyramid *a, const lk_pyramid *b, int points, const float *from, float *to, uint8_t *found,
	float *texture, int window, const int blocks, int top, float least_texture) {
	for (int i = 0; i < points; i++) {
		float x = to[2 * i] / (1 << top), y = to[2 * i + 1] / (1 << top), tex = 0;
		int ok = 0;
		for (int l = top; l >= 0; l--) {
			ok = on_level(&a->plane[l], &b->plane[l], from[2 * i] / (1 << l), from[2 * i + 1] / (1 << l), &x, &y, window, blocks, least_texture, &tex);
			if (l > 0)
				x *= 2, y *= 2;
		}
		to[2 * i] = x, to[2 * i + 1] = y;
		found[i] = ok, texture[i] = tex;
	}
}

// The usual numbers of blocks, and the usual window, are compiled by themselves.
#define WITH(name, window, blocks)                                                                                     \
	AVX2 static void name(const lk_pyramid *a, const lk_pyramid *b, int n, const float *from, float *to, uint8_t *found, \
		float *texture, int w, int top, float least) {                                                                    \
		follow(a, b, n, from, to, found, texture, window, blocks, top, least);                                             \
	}
WITH(follow13, 13, 1)
WITH(follow16, w, 1)
WITH(follow32, w, 2)
WITH(follow48, w, 3)

void lk_follow(const lk_pyramid *a, const lk_pyramid *b, int points, const float *from, float *to, uint8_t *found,
	float *texture, int window, int levels, float least_texture) {
	int top = 0; // the smallest plane is larger than the window
	while (top < levels && top + 1 < a->levels && a->plane[top + 1].width > window && a->plane[top + 1].height > window)
		top++;
	(window == 13 ? follow13 : window <= 16 ? follow16 : window <= 32 ? follow32 : follow48)(a, b, points, from, to, found,
		texture, window, top, least_texture);
}

#else // other processors have OpenCV's

lk_pyramid *lk_new(int width, int height) { return NULL; }
void lk_free(lk_pyramid *p) {}
void lk_build(lk_pyramid *p, const uint8_t *grey, int stride) {}
void lk_follow(const lk_pyramid *a, const lk_pyramid *b, int points, const float *from, float *to, uint8_t *found,
	float *texture, int window, int levels, float least_texture) {}

#endif
