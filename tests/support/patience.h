// How much longer tests wait than a plain build needs. Deadlines only keep a broken program from hanging a test; under a
// sanitizer everything takes several times as long.
#pragma once

namespace wetrun {

#if defined(__SANITIZE_THREAD__)
inline constexpr double patience = 10;
#elif defined(__SANITIZE_ADDRESS__)
inline constexpr double patience = 5;
#else
inline constexpr double patience = 1;
#endif

}  // namespace wetrun
