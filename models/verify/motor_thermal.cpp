#include "models/verify/verification.h"

namespace wetrun {

void verify_motor_thermal(Verification&) {}

}  // namespace wetrun
