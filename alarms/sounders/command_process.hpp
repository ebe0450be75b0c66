// One run of a site's command: a process group of its own, no shell. Standard input and output are /dev/null,
// every other descriptor is closed, signals are as after a start of the box, and of what it writes to
// standard error the last line is kept. It gets the daemon's environment, but for what the service manager
// meant for the daemon alone.
//
// When the program ends, whatever it left in its group is killed. What leaves the group by itself (setsid) is
// out of reach here; under systemd it ends with the service. Not thread-safe. Nothing here waits, but for
// start(), which returns once the program has taken over, and the end of the object.
#pragma once

#include <sys/types.h>

#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "core/result.hpp"
#include "sounders/descriptor.hpp"

namespace drumwatch {

/// Whether the program of a command is there and may be run, without running it.
Result<Done> look_at_command(const std::vector<std::string>& command);

class CommandProcess {
  public:
    struct End {
        bool by_signal = false;
        int code = 0;  ///< its exit status, or the signal
    };

    /// `command[0]` is the program's whole path.
    static Result<std::unique_ptr<CommandProcess>> start(const std::vector<std::string>& command);
    /// Kills the group and waits for its leader's end (5 s at most: a process that hangs in the kernel).
    ~CommandProcess();
    CommandProcess(const CommandProcess&) = delete;
    CommandProcess& operator=(const CommandProcess&) = delete;

    void signal_group(int signal);
    /// How it ended; nothing while it runs. It is reaped then.
    std::optional<End> end();
    /// The last line that it wrote to standard error: printable ASCII, at most 200 characters.
    std::string last_words();

  private:
    CommandProcess(pid_t leader, Descriptor errors) : leader_(leader), errors_(std::move(errors)) {}
    void listen();

    pid_t leader_;
    Descriptor errors_;
    std::string line_;   ///< as far as it has come
    std::string words_;  ///< the newest line that had something in it
    std::optional<End> end_;
};

}  // namespace drumwatch
