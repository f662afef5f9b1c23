/* Steps at their times, and what stops them whatever the main loop does.
 *
 * The main loop plans steps at most 2 ms ahead into a ring; the interrupt makes one after the other and looks at the
 * switches before each. A main loop that hangs plans no more, so that the motor stands within 2 ms; the clock's interrupt
 * then notices, and remembers it over the watchdog's reset.
 */
#include <avr/interrupt.h>
#include <avr/io.h>
#include <util/atomic.h>

#include "../thin.h"
#include "parts.h"
#include "pins.h"

enum {
    RING = 32,      /* Steps; two quanta at the highest speed have 16. */
    SOONEST = 10,   /* Ticks: a step this near can still be set up before its time has passed. */
    HUNG_AFTER = 20 /* Milliseconds without a planned quantum. */
};

static volatile uint16_t step_at[RING];
static volatile uint8_t newest, oldest; /* Places in the ring: next to fill, next to make. */
static volatile int32_t position;
static volatile int8_t direction;
static volatile uint8_t switch_ahead; /* Mask in PINB. */
static volatile uint8_t halted;       /* enum halt */
static volatile bool underway;        /* Between thin_start() and thin_halt(). */
static volatile uint8_t since_plan;   /* Milliseconds. */

void motor_init(void)
{
    PORTD |= _BV(DRIVER_OFF);
    DDRD |= _BV(STEP) | _BV(DIRECTION) | _BV(DRIVER_OFF);
    PORTD |= _BV(EMERGENCY);
    PORTB |= _BV(NEAR_SWITCH) | _BV(FAR_SWITCH);
    EIMSK |= _BV(INT1);
}

/* With interrupts off, as everything here down to the interrupts. */
static void halt(uint8_t why)
{
    oldest = newest;
    halted = why;
}

static void emergency(void)
{
    PORTD |= _BV(DRIVER_OFF);
    halt(HALT_EMERGENCY);
}

static int16_t ticks_until_step(void)
{
    return (int16_t)(step_at[oldest] - TCNT1);
}

/* Have the interrupt come at the oldest step's time, or soon where that has passed or is about to. */
static void arm(void)
{
    OCR1A = step_at[oldest];
    if (ticks_until_step() < SOONEST)
        OCR1A = TCNT1 + SOONEST;
}

static void make_step(void)
{
    PORTD |= _BV(STEP);
    position += direction;
    oldest = (oldest + 1) & (RING - 1);
    PORTD &= (uint8_t)~_BV(STEP);
}

/* Also comes without cause, once in each turn of the timer: the ring says whether a step is due. */
ISR(TIMER1_COMPA_vect)
{
    if (oldest == newest)
        return;
    if (ticks_until_step() <= 0) {
        if (EMERGENCY_PRESSED())
            emergency();
        else if (PINB & switch_ahead)
            halt(HALT_LIMIT);
        else
            make_step();
    }
    if (oldest != newest)
        arm();
}

ISR(INT1_vect)
{
    if (EMERGENCY_PRESSED())
        emergency();
}

void motor_watch(void)
{
    if (EMERGENCY_PRESSED())
        emergency();
    if (underway && ++since_plan > HUNG_AFTER) {
        underway = false;
        halt(HALT_HUNG);
        memory_set(MEMORY_HUNG);
    }
}

int32_t motor_position(void)
{
    return position;
}

void thin_start(int8_t new_direction)
{
    ATOMIC_BLOCK(ATOMIC_RESTORESTATE)
    {
        direction = new_direction;
        switch_ahead = new_direction < 0 ? _BV(NEAR_SWITCH) : _BV(FAR_SWITCH);
        halted = HALT_NONE;
        since_plan = 0;
        underway = true;
        memory_set(MEMORY_MOVED);
        if (new_direction < 0)
            PORTD &= (uint8_t)~_BV(DIRECTION);
        else
            PORTD |= _BV(DIRECTION);
        PORTD &= (uint8_t)~_BV(DRIVER_OFF);
    }
}

static void push(uint16_t at)
{
    ATOMIC_BLOCK(ATOMIC_RESTORESTATE)
    {
        if (halted == HALT_NONE) {
            bool first = oldest == newest;
            step_at[newest] = at;
            newest = (newest + 1) & (RING - 1);
            if (first)
                arm();
        }
    }
}

void thin_plan(const struct quantum *q)
{
    uint16_t at;
    ATOMIC_BLOCK(ATOMIC_RESTORESTATE)
    {
        at = clock_quantum_start() + q->first;
        since_plan = 0;
    }
    for (uint8_t i = 0; i < q->count; i++) {
        push(at);
        at += q->interval;
    }
}

bool thin_standing(void)
{
    return oldest == newest;
}

void thin_halt(void)
{
    ATOMIC_BLOCK(ATOMIC_RESTORESTATE)
    {
        oldest = newest;
        underway = false;
        memory_set(MEMORY_STOOD);
    }
}

enum halt thin_halted(void)
{
    uint8_t why;
    ATOMIC_BLOCK(ATOMIC_RESTORESTATE)
    {
        why = halted;
        halted = HALT_NONE;
    }
    return (enum halt)why;
}

int32_t thin_position(void)
{
    int32_t now;
    ATOMIC_BLOCK(ATOMIC_RESTORESTATE) { now = position; }
    return now;
}

void thin_set_position(int32_t steps)
{
    ATOMIC_BLOCK(ATOMIC_RESTORESTATE) { position = steps; }
}

uint8_t thin_switches(void)
{
    uint8_t pressed = 0;
    if (NEAR_PRESSED())
        pressed |= SWITCH_NEAR;
    if (FAR_PRESSED())
        pressed |= SWITCH_FAR;
    if (EMERGENCY_PRESSED())
        pressed |= SWITCH_EMERGENCY;
    return pressed;
}
