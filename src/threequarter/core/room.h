/* Where numbers come from and go to. Memory of one call: taken in rooms, all given back when the next call asks for its input. */
#ifndef ROOM_H
#define ROOM_H

#include "numbers.h"

#ifdef __wasm__
#define CALLED(name) __attribute__((export_name(name)))
#else
#define CALLED(name)
#endif

double *room(int numbers); /* zeros; never given back within a call */

#endif
