#ifndef STEADFALL_LK_H
#define STEADFALL_LK_H

#include <stdint.h>

// All of this needs a processor with AVX2.

// A picture and its halves, each inside a border that windows may reach into.
enum { LK_LEVELS = 4, LK_WINDOW = 47, LK_BORDER = LK_WINDOW + 1 };

typedef struct {
	int width, height, stride;
	uint8_t *at; // the first pixel
} lk_plane;

typedef struct {
	lk_plane plane[LK_LEVELS];
	int levels; // of which are used
	uint8_t *memory;
} lk_pyramid;

// lk_new makes room for the pyramid of pictures of a size; NULL where there is no memory.
lk_pyramid *lk_new(int width, int height);
void lk_free(lk_pyramid *p);

// lk_build fills a pyramid with a grey picture of its size, rows of stride bytes.
void lk_build(lk_pyramid *p, const uint8_t *grey, int stride);

// lk_follow finds points of picture a in picture b of the same size. from and to are pairs of x and y, px;
// to holds where the search sets out from, and then where it ended. found is 0 where a point was
// lost, texture the smaller eigenvalue of the gradient matrix over the window's pixels. The window
// is an odd number of px, LK_WINDOW at most, and levels those above the picture itself.
void lk_follow(const lk_pyramid *a, const lk_pyramid *b, int points, const float *from, float *to, uint8_t *found,
	float *texture, int window, int levels, float least_texture);

#endif
