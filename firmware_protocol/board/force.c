#include "force.h"

void force_start(struct force *f, uint32_t limit, uint32_t floor)
{
    f->limit = limit;
    f->floor = floor;
    f->peak = 0;
    f->in_motion = f->low = 0;
}

/* Counts have 24 bits, so that neither their difference nor the sum of eight overflows. */
static uint32_t distance(const struct force *f, uint8_t back)
{
    int32_t force = f->recent[(f->next - back) & (ZERO_READINGS - 1)] - f->zero;
    return (uint32_t)(force < 0 ? -force : force);
}

static uint32_t median(uint32_t a, uint32_t b, uint32_t c)
{
    if (a > b) {
        uint32_t swap = a;
        a = b;
        b = swap;
    }
    if (b <= c)
        return b;
    return a > c ? a : c;
}

static enum force_verdict judge(struct force *f)
{
    uint32_t force = median(distance(f, 1), distance(f, 2), distance(f, 3));
    if (force > f->peak)
        f->peak = force;
    bool fallen = f->floor > 0 && f->peak > f->floor && 2 * force < f->peak;
    f->low = fallen ? f->low + 1 : 0;
    if (force >= f->limit)
        return FORCE_OVER_LIMIT;
    return f->low >= LOW_MEDIANS ? FORCE_FELL : FORCE_FINE;
}

enum force_verdict force_take(struct force *f, int32_t counts)
{
    f->recent[f->next] = counts;
    f->next = (f->next + 1) & (ZERO_READINGS - 1);
    if (f->known < ZERO_READINGS)
        f->known++;
    if (f->in_motion < MEDIAN_READINGS)
        f->in_motion++;
    return f->in_motion < MEDIAN_READINGS ? FORCE_FINE : judge(f);
}

bool force_zero(struct force *f)
{
    if (f->known < ZERO_READINGS)
        return false;
    int32_t sum = 0;
    for (uint8_t i = 0; i < ZERO_READINGS; i++)
        sum += f->recent[i];
    int32_t remainder = sum % ZERO_READINGS;
    f->zero = sum / ZERO_READINGS - (remainder < 0);
    return true;
}
