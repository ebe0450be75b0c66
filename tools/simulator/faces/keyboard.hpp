#pragma once

#include <termios.h>

#include <string>

namespace drumwatch::simulator {

/// Keys from standard input, one by one and without echo. A terminal is in raw mode for the lifetime of the
/// object (Ctrl-C still interrupts, Ctrl-Z does not suspend) and is put back by the destructor, or at exit()
/// at the latest. Anything else (a pipe, a file) is simply read. One object at a time.
class Keyboard {
  public:
    Keyboard();
    ~Keyboard();
    Keyboard(const Keyboard&) = delete;
    Keyboard& operator=(const Keyboard&) = delete;

    bool is_terminal() const { return is_terminal_; }
    /// What has been typed; empty also at the end of the input. Call only when poll() reports the descriptor.
    std::string read_keys();
    bool at_end() const { return at_end_; }

  private:
    bool is_terminal_ = false;
    bool at_end_ = false;
};

}  // namespace drumwatch::simulator
