/* Timer 1, free running at 2 MHz: the board's time, and the millisecond that everything is planned in. */
#include <avr/interrupt.h>
#include <avr/io.h>
#include <avr/wdt.h>
#include <util/atomic.h>

#include "../thin.h"
#include "parts.h"

static volatile uint32_t overflows;
static volatile bool due;

void clock_init(void)
{
    TCCR1A = 0;
    TCCR1B = _BV(CS11); /* 16 MHz / 8. */
    OCR1B = QUANTUM_TICKS;
    TIMSK1 = _BV(TOIE1) | _BV(OCIE1A) | _BV(OCIE1B);
}

ISR(TIMER1_OVF_vect)
{
    overflows++;
}

ISR(TIMER1_COMPB_vect)
{
    OCR1B += QUANTUM_TICKS;
    due = true;
    motor_watch();
    sensor_watch();
}

struct moment clock_moment(void)
{
    struct moment moment = {overflows, TCNT1};
    if ((TIFR1 & _BV(TOV1)) && moment.ticks < 0x8000)
        moment.overflows++; /* The overflow came with interrupts off and is not counted yet. */
    return moment;
}

uint32_t clock_us(struct moment moment)
{
    return moment.overflows << 15 | moment.ticks >> 1;
}

uint32_t thin_now_us(void)
{
    struct moment now;
    ATOMIC_BLOCK(ATOMIC_RESTORESTATE) { now = clock_moment(); }
    return clock_us(now);
}

bool clock_due(void)
{
    return due;
}

/* The quantum to be planned is the one that begins with the next millisecond; one that was missed is left out. */
bool thin_quantum_due(void)
{
    if (!due)
        return false;
    due = false;
    wdt_reset();
    return true;
}

uint16_t clock_quantum_start(void)
{
    return OCR1B;
}
