#include "models/verify/verification.h"

namespace wetrun {

void verify_mixing(Verification&) {}

}  // namespace wetrun
