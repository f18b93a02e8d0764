#include "room.h"

#ifdef __wasm__
extern unsigned char __heap_base;
static unsigned long heap;

static double *raw(unsigned long numbers)
{
    unsigned long at = (heap + 15) & ~15UL, end = at + 8 * numbers, pages = __builtin_wasm_memory_size(0);
    if (end > pages * 65536) __builtin_wasm_memory_grow(0, (end - pages * 65536 + 65535) / 65536);
    heap = end;
    return (double *)at;
}

static void fresh(void) { heap = (unsigned long)&__heap_base; }
#else
#include <stdlib.h>
static double *raw(unsigned long numbers) { return malloc(8 * numbers + 16); }
static void fresh(void) {}
#endif

double *room(int numbers)
{
    double *numbers_at = raw(numbers + 2);
    for (int i = 0; i < numbers + 2; i++) numbers_at[i] = 0;
    return numbers_at;
}

CALLED("input_room") double *input_room(int numbers)
{
    fresh();
    return room(numbers);
}

void *memset(void *to, int byte, unsigned long count)
{
    unsigned char *at = to;
    while (count--) *at++ = (unsigned char)byte;
    return to;
}
