// What earlier roasts of a coffee on this machine taught: plain data that comes from the record.
// roast/forecast/learning.hpp makes it.
#pragma once

namespace drumwatch {

struct Lessons {
    int roasts = 0;             ///< how many marked first cracks stand behind it
    double crack_c = 0;         ///< their mean bean temperature, degrees C; newer ones count for more
    double crack_spread_c = 0;  ///< their standard deviation, degrees C
    double weight = 0;          ///< how many roasts the mean is worth: older ones fade
    double pace = 0;            ///< mean of log(time from yellow to first crack / the target's time for it)
    double pace_weight = 0;     ///< how many roasts that mean is worth
};

}  // namespace drumwatch
