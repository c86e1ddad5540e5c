/** Body of the worker that times every method, one after the other, and says each as it comes. */
import { methods } from '../../core/methods/index.ts'
import { type MethodTiming, timeMethods } from '../../core/study/timing.ts'

for (const timing of timeMethods(methods, () => performance.now())) self.postMessage(timing satisfies MethodTiming)
self.postMessage(null)
