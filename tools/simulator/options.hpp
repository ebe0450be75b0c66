#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "simulator/floor/faults.hpp"
#include "simulator/machine/machine.hpp"
#include "simulator/operators/routine.hpp"
#include "simulator/target/target.hpp"

namespace drumwatch::simulator {

/// What the command line asked for, checked.
struct Options {
    Machine machine;
    std::string host = "127.0.0.1";
    int port = 0;
    double speed = 1.0;
    std::optional<std::int64_t> stepped_ms;
    std::uint64_t seed = 1;
    bool quiet_probes = false;
    RoutineOptions routine;
    bool exit_after_batches = false;
    std::vector<Fault> faults;
    std::string truth_file;
    std::string export_target_file;
    std::string approved_by;
    bool serial = false;
    std::string serial_link;
    std::int64_t serial_period_ms = 250;
    bool by_hand = false;
    std::optional<Target>
        target;  ///< what a roast by hand is judged against, if not the machine's own schedule
};

/// Either options, or the exit code with which the program ends at once (help and version were printed: 0; a
/// wrong call was explained on stderr: 2).
struct ParsedOptions {
    std::optional<Options> options;
    int exit_code = 0;
};
ParsedOptions parse_options(int count, char** words);

}  // namespace drumwatch::simulator
