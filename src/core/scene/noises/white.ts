import { noise } from './noise.ts'

export const white = noise({
  id: 'white',
  title: 'White noise, equal power per hertz up to half the sample rate',
  source: 'Gaussian, definition',
  fields: {},
  fill: (target, { random }) => random.fillGaussian(target),
})
