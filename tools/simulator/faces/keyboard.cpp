#include "simulator/faces/keyboard.hpp"

#include <unistd.h>

#include <array>
#include <cerrno>
#include <cstdlib>

namespace drumwatch::simulator {
namespace {

termios saved{};
bool is_raw = false;

void put_back() {
    if (is_raw) tcsetattr(STDIN_FILENO, TCSANOW, &saved);
    is_raw = false;
}

}  // namespace

Keyboard::Keyboard() : is_terminal_(isatty(STDIN_FILENO) == 1) {
    if (!is_terminal_ || tcgetattr(STDIN_FILENO, &saved) != 0) return;
    std::atexit(put_back);
    termios raw = saved;
    raw.c_lflag &= ~static_cast<tcflag_t>(ICANON | ECHO);
    raw.c_cc[VSUSP] = _POSIX_VDISABLE;
    raw.c_cc[VMIN] = 1;
    raw.c_cc[VTIME] = 0;
    is_raw = tcsetattr(STDIN_FILENO, TCSANOW, &raw) == 0;
}

Keyboard::~Keyboard() { put_back(); }

std::string Keyboard::read_keys() {
    std::array<char, 64> keys{};
    const auto count = read(STDIN_FILENO, keys.data(), keys.size());
    if (count > 0) return {keys.data(), static_cast<std::size_t>(count)};
    if (count == 0 || errno != EINTR) at_end_ = true;
    return {};
}

}  // namespace drumwatch::simulator
