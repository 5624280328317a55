// How much longer tests wait than a plain build needs. Deadlines only keep a broken program from hanging a test; under a
// sanitizer everything takes several times as long.
#pragma once

namespace wetrun {

#if defined(__has_feature)  // Clang
#if __has_feature(address_sanitizer) || __has_feature(thread_sanitizer)
#define WETRUN_SANITIZED
#endif
#elif defined(__SANITIZE_ADDRESS__) || defined(__SANITIZE_THREAD__)
#define WETRUN_SANITIZED
#endif

#ifdef WETRUN_SANITIZED
inline constexpr bool sanitized = true;
inline constexpr double patience = 10;
#else
inline constexpr bool sanitized = false;
inline constexpr double patience = 1;
#endif

}  // namespace wetrun
