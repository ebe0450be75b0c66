#include <cstdio>
#include <exception>

#include "simulator/machine/machine.hpp"
#include "simulator/options.hpp"
#include "simulator/run.hpp"

int main(int count, char** words) {
    using namespace drumwatch::simulator;
    try {
        const ParsedOptions parsed = parse_options(count, words);
        return parsed.options ? run(*parsed.options) : parsed.exit_code;
    } catch (const SetupError& error) {
        std::fprintf(stderr, "drumwatch-sim: %s\n", error.what());
        return 1;
    } catch (const std::exception& error) {
        std::fprintf(stderr, "drumwatch-sim: failed: %s\n", error.what());
        return 1;
    }
}
