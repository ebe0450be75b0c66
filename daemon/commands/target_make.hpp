// `drumwatch target make`, added to `drumwatch target`.
#pragma once

namespace CLI {
class App;
}

namespace drumwatch {

void add_target_make(CLI::App& parent, int& exit_code);

}  // namespace drumwatch
