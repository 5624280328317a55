// Counts the heap of a program: replaces the global operators new and delete. Include it in one source file of a program.
#pragma once
#include <malloc.h>

#include <atomic>
#include <cstddef>
#include <cstdint>
#include <cstdlib>
#include <new>

namespace wetrun::bench {

inline std::atomic<std::uint64_t> heap_calls{0};  // of operator new so far
inline std::atomic<std::int64_t> heap_bytes{0};   // held now, as the allocator rounds them

inline void* heap_take(std::size_t bytes, std::size_t alignment = 0) {
  void* block = alignment > 0 ? std::aligned_alloc(alignment, (bytes + alignment - 1) / alignment * alignment)
                              : std::malloc(bytes > 0 ? bytes : 1);
  if (!block) throw std::bad_alloc();
  heap_calls.fetch_add(1, std::memory_order_relaxed);
  heap_bytes.fetch_add(static_cast<std::int64_t>(malloc_usable_size(block)), std::memory_order_relaxed);
  return block;
}
inline void heap_give(void* block) noexcept {
  if (block) heap_bytes.fetch_sub(static_cast<std::int64_t>(malloc_usable_size(block)), std::memory_order_relaxed);
  std::free(block);
}

}  // namespace wetrun::bench

void* operator new(std::size_t bytes) { return wetrun::bench::heap_take(bytes); }
void* operator new[](std::size_t bytes) { return wetrun::bench::heap_take(bytes); }
void* operator new(std::size_t bytes, std::align_val_t alignment) {
  return wetrun::bench::heap_take(bytes, static_cast<std::size_t>(alignment));
}
void* operator new[](std::size_t bytes, std::align_val_t alignment) {
  return wetrun::bench::heap_take(bytes, static_cast<std::size_t>(alignment));
}
// The library's own would do, but sanitizers bring others, whose blocks are none of ours.
void* operator new(std::size_t bytes, const std::nothrow_t&) noexcept {
  try {
    return wetrun::bench::heap_take(bytes);
  } catch (const std::bad_alloc&) {
    return nullptr;
  }
}
void* operator new[](std::size_t bytes, const std::nothrow_t& nothrow) noexcept { return operator new(bytes, nothrow); }
void operator delete(void* block) noexcept { wetrun::bench::heap_give(block); }
void operator delete[](void* block) noexcept { wetrun::bench::heap_give(block); }
void operator delete(void* block, std::size_t) noexcept { wetrun::bench::heap_give(block); }
void operator delete[](void* block, std::size_t) noexcept { wetrun::bench::heap_give(block); }
void operator delete(void* block, std::align_val_t) noexcept { wetrun::bench::heap_give(block); }
void operator delete[](void* block, std::align_val_t) noexcept { wetrun::bench::heap_give(block); }
void operator delete(void* block, std::size_t, std::align_val_t) noexcept { wetrun::bench::heap_give(block); }
void operator delete[](void* block, std::size_t, std::align_val_t) noexcept { wetrun::bench::heap_give(block); }
