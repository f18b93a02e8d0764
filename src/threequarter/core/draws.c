/* Normal numbers for what is drawn beside the sampler. The input: a seed, and how many. */
#include "room.h"

CALLED("normals") double *normals(const double *input)
{
    Random random;
    int count = (int)input[1];
    double *drawn = room(count);
    seeded(&random, (u64)input[0]);
    for (int i = 0; i < count; i++) drawn[i] = normal(&random);
    return drawn;
}
