// What options may be: what is no number (nan too) or no name is refused with a sentence.
#pragma once

#include <CLI/CLI.hpp>
#include <string>

namespace drumwatch {

/// From `low` to `high`, both included; `unit` as it is said to a person, may be empty.
CLI::Validator number_between(double low, double high, const std::string& unit);

/// A name that a person could read: not empty, not blanks alone.
CLI::Validator readable_name();

}  // namespace drumwatch
