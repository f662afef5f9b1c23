#include "motion.h"

#include "board_config.h"

#define SPEED_CHANGE ACCELERATION_STEPS_S2 /* Of one quantum, in thousandths of a step per second. */
#define CRAWL_SPEED (CRAWL_STEPS_S * UINT32_C(1000))
#define STEP UINT32_C(1000000)             /* Millionths in a step. */
#define FAR_AWAY UINT32_C(4000000)         /* Steps that are certainly more than any braking distance. */

static void set_speed(struct motion *m, uint32_t speed)
{
    if (speed == m->speed)
        return;
    m->speed = speed;
    m->braking = speed / 1000 * (speed / SPEED_CHANGE + 2) / 2;
    uint32_t interval = speed ? QUANTUM_TICKS * STEP / speed : 0;
    m->interval = interval < QUANTUM_TICKS ? (uint16_t)interval : QUANTUM_TICKS;
}

void motion_start(struct motion *m, int32_t position, int32_t target, uint32_t top_speed)
{
    m->position = position;
    m->target = target;
    m->direction = target < position ? -1 : 1;
    m->stopping = false;
    m->top_speed = top_speed;
    m->speed = m->phase = m->braking = 0;
    m->interval = QUANTUM_TICKS;
}

static uint32_t steps_left(const struct motion *m)
{
    uint32_t left = m->direction > 0 ? (uint32_t)m->target - (uint32_t)m->position : (uint32_t)m->position - (uint32_t)m->target;
    return left < FAR_AWAY ? left : FAR_AWAY;
}

static uint32_t slower(const struct motion *m, uint32_t least)
{
    if (m->speed <= least)
        return m->speed;
    return m->speed - least > SPEED_CHANGE ? m->speed - SPEED_CHANGE : least;
}

static uint32_t next_speed(const struct motion *m, uint32_t left)
{
    if (m->stopping)
        return m->speed > CRAWL_SPEED ? slower(m, 0) : 0;
    if (left * 1000 - m->phase / 1000 <= m->braking)
        return slower(m, CRAWL_SPEED);
    uint32_t faster = m->speed + SPEED_CHANGE;
    return faster < m->top_speed ? faster : m->top_speed;
}

bool motion_next(struct motion *m, struct quantum *q)
{
    uint32_t left = steps_left(m);
    set_speed(m, left ? next_speed(m, left) : 0);
    *q = (struct quantum){.count = 0, .interval = m->interval};
    if (m->speed == 0)
        return false;
    uint32_t first = (STEP - m->phase) * QUANTUM_TICKS;
    for (m->phase += m->speed; m->phase >= STEP; m->phase -= STEP)
        if (q->count < left)
            q->count++;
    if (q->count == 0)
        return true;
    q->first = (uint16_t)(first / m->speed);
    m->position += m->direction * (int32_t)q->count;
    return true;
}
