// A list with its room inside it: no allocation, so that a Snapshot costs none per tick. A push into a full
// list is refused and returns false; nothing else can fail. What it costs goes by what is in it, not by its
// room: a copy copies the items that are there, and an empty list is made without touching its room.
#pragma once

#include <cstddef>
#include <memory>
#include <type_traits>

namespace drumwatch {

template <typename T, std::size_t N>
class FixedList {
    static_assert(std::is_trivially_copyable_v<T> && std::is_trivially_destructible_v<T>);

  public:
    FixedList() {}  // NOLINT: the room stays as it is
    FixedList(const FixedList& other) { *this = other; }
    FixedList& operator=(const FixedList& other) {
        if (this == &other) return *this;
        std::uninitialized_copy(other.begin(), other.end(), items_);
        size_ = other.size_;
        return *this;
    }

    static constexpr std::size_t capacity() { return N; }
    std::size_t size() const { return size_; }
    bool empty() const { return size_ == 0; }
    bool full() const { return size_ == N; }
    void clear() { size_ = 0; }
    bool push_back(const T& item) {
        if (full()) return false;
        std::construct_at(items_ + size_++, item);
        return true;
    }
    void erase(std::size_t index) {
        for (std::size_t i = index + 1; i < size_; ++i) items_[i - 1] = items_[i];
        --size_;
    }
    T& operator[](std::size_t i) { return items_[i]; }
    const T& operator[](std::size_t i) const { return items_[i]; }
    T& back() { return items_[size_ - 1]; }
    const T& back() const { return items_[size_ - 1]; }
    T* begin() { return items_; }
    T* end() { return items_ + size_; }
    const T* begin() const { return items_; }
    const T* end() const { return items_ + size_; }

  private:
    union {  // items are made when they are pushed
        T items_[N];
    };
    std::size_t size_ = 0;
};

}  // namespace drumwatch
