// What the sounder thread reports. The calls come on that thread: they must only post, and not throw.
#pragma once

#include <cstddef>
#include <functional>
#include <string>

#include "sounders/sounder_config.hpp"

namespace drumwatch {

/// An output or a button failed, or works again. Both are taken to work until something is said.
struct SounderNews {
    bool is_button = false;
    std::size_t index = 0;  ///< in the settings
    std::string name;
    bool works = false;
    std::string sentence;  ///< why it doesn't work
};

struct SounderTest {
    std::size_t output = 0;
    std::string name;
    bool tried = false;  ///< false: something more important sounded meanwhile
    bool passed =
        false;  ///< the line took both levels; the command ended well. Whether it was heard: ask a person
    std::string sentence;  ///< why it didn't pass, or was not tried
};

struct ButtonPress {
    std::size_t button = 0;
    std::string name;
    ButtonMeaning meaning = ButtonMeaning::acknowledge;
};

/// An empty function is left out.
struct SounderCalls {
    std::function<void(const SounderNews&)> changed;
    std::function<void(const SounderTest&)> tested;
    std::function<void(const ButtonPress&)> pressed;
};

}  // namespace drumwatch
