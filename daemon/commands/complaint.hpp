#pragma once

#include <string>

#include "commands/commands.hpp"

namespace drumwatch {

/// `sentence` and a line's end to standard error; the answer is the command's exit code.
int complain(const std::string& sentence, int exit_code = kWrongInput);

}  // namespace drumwatch
