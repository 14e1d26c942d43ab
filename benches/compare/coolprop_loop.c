/* The loop over states in compiled code: CoolProp's own table of C functions, which its
   wheel exports as the capsule CoolProp._capi, called without Python in between. */
#include <time.h>
#include "CoolProp/detail/state_capi.h"

static double now(void) {
    struct timespec t;
    clock_gettime(CLOCK_MONOTONIC, &t);
    return (double)t.tv_sec + 1e-9 * (double)t.tv_nsec;
}

/* CoolProp's keys of what is asked for: a state's values, and what slopes are made of. */
typedef struct {
    long temperature, density, entropy, quality, pressure, enthalpy;
} Keys;

/* Seconds for `count` states from enthalpy and pressure. Of each are asked temperature,
   density and entropy, and with `all` also quality and, outside the two-phase region, where
   this table of functions has none, the slopes of temperature and density. Temperature and
   density go to `values`; all are added to `total`, so that none is left out. The last error, or null, goes to `error`. */
double loop(const CoolProp_StateCAPI *api, void *state, long pair, const double *h,
            const double *p, long count, const Keys *keys, long all, double *total,
            double *values, const char **error) {
    double sum = 0.0, start = now(), end;
    *error = 0;
    for (long point = 0; point < count; point++) {
        api->update(state, pair, h[point], p[point]);
        double temperature = api->keyed_output(state, keys->temperature);
        double density = api->keyed_output(state, keys->density);
        sum += temperature + density + api->keyed_output(state, keys->entropy);
        if (all) {
            double quality = api->keyed_output(state, keys->quality);
            sum += quality;
            if (!(quality >= 0.0 && quality <= 1.0)) {
                long value[2] = {keys->temperature, keys->density};
                for (int which = 0; which < 2; which++) {
                    sum += api->first_partial_deriv(state, value[which], keys->pressure,
                                                    keys->enthalpy);
                    sum += api->first_partial_deriv(state, value[which], keys->enthalpy,
                                                    keys->pressure);
                }
            }
        }
        values[2 * point] = temperature;
        values[2 * point + 1] = density;
        if (api->last_error()) *error = api->last_error();
    }
    end = now();
    *total = sum;
    return end - start;
}
