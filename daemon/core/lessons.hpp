// What earlier roasts of a coffee on this machine taught: plain data that comes from the record.
#pragma once

namespace drumwatch {

struct Lessons {
    int roasts = 0;             ///< how many marked first cracks stand behind it
    double crack_c = 0;         ///< their mean bean temperature, degrees C
    double crack_spread_c = 0;  ///< their standard deviation, degrees C
};

}  // namespace drumwatch
