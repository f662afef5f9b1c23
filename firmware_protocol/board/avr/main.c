/* Start, and the main loop: let the core do what there is to do, then sleep until the next interrupt. */
#include <avr/interrupt.h>
#include <avr/io.h>
#include <avr/sleep.h>
#include <avr/wdt.h>

#include "../core.h"
#include "parts.h"

static struct core core;

static bool nothing_to_do(void)
{
    return !clock_due() && !sensor_ready() && !line_waiting();
}

int main(void)
{
    EICRA = _BV(ISC01) | _BV(ISC11) | _BV(ISC10); /* INT0 falls, INT1 rises; before anything can make them fire. */
    MCUSR = 0;
    wdt_enable(WDTO_250MS);
    memory_init();
    motor_init();
    sensor_init();
    line_init();
    clock_init();
    core_start(&core);
    set_sleep_mode(SLEEP_MODE_IDLE);
    sei();
    for (;;) {
        core_poll(&core);
        cli();
        if (nothing_to_do()) {
            sleep_enable();
            sei(); /* Takes effect one instruction later: no interrupt slips in before the sleep. */
            sleep_cpu();
            sleep_disable();
        }
        sei();
    }
}
