/**
 * Passes of a self-sorting (Stockham) Fourier transform, radix 4, on real and imaginary parts in arrays of their own.
 *
 * Decimation in frequency; Van Loan 1992, Computational Frameworks for the Fast Fourier Transform, section 1.7. A pass reads one
 * pair of arrays and writes another: n is the length still to be transformed, `stride` the number of transforms side by side,
 * n * stride the whole size. `twiddles` holds cos and -sin of 2 pi j / size, interleaved. The passes of n = 8, 4 and 2 come
 * last and need no twiddles. Written out by hand because this is where methods spend their time.
 */

/** Radix 4, stride 1, reading interleaved complex values. */
export function firstPass(
  z: Float64Array,
  n: number,
  twiddles: Float64Array,
  toRe: Float64Array,
  toIm: Float64Array,
): void {
  const m = n >> 2
  for (let p = 0; p < m; p++) {
    const a = 2 * p
    const b = a + 2 * m
    const c = b + 2 * m
    const d = c + 2 * m
    const acSumRe = z[a] + z[c]
    const acSumIm = z[a + 1] + z[c + 1]
    const acLessRe = z[a] - z[c]
    const acLessIm = z[a + 1] - z[c + 1]
    const bdSumRe = z[b] + z[d]
    const bdSumIm = z[b + 1] + z[d + 1]
    const bdLessRe = z[b] - z[d]
    const bdLessIm = z[b + 1] - z[d + 1]
    const j = 4 * p
    toRe[j] = acSumRe + bdSumRe
    toIm[j] = acSumIm + bdSumIm
    const re1 = acLessRe + bdLessIm
    const im1 = acLessIm - bdLessRe
    const re2 = acSumRe - bdSumRe
    const im2 = acSumIm - bdSumIm
    const re3 = acLessRe - bdLessIm
    const im3 = acLessIm + bdLessRe
    const cos1 = twiddles[2 * p]
    const sin1 = twiddles[2 * p + 1]
    const cos2 = twiddles[4 * p]
    const sin2 = twiddles[4 * p + 1]
    const cos3 = twiddles[6 * p]
    const sin3 = twiddles[6 * p + 1]
    toRe[j + 1] = re1 * cos1 - im1 * sin1
    toIm[j + 1] = re1 * sin1 + im1 * cos1
    toRe[j + 2] = re2 * cos2 - im2 * sin2
    toIm[j + 2] = re2 * sin2 + im2 * cos2
    toRe[j + 3] = re3 * cos3 - im3 * sin3
    toIm[j + 3] = re3 * sin3 + im3 * cos3
  }
}

/** Radix 4 at any stride, n >= 8. */
export function middlePass(
  re: Float64Array,
  im: Float64Array,
  n: number,
  stride: number,
  twiddles: Float64Array,
  toRe: Float64Array,
  toIm: Float64Array,
): void {
  const m = n >> 2
  const quarter = stride * m
  for (let p = 0; p < m; p++) {
    const w = 2 * p * stride
    const cos1 = twiddles[w]
    const sin1 = twiddles[w + 1]
    const cos2 = twiddles[2 * w]
    const sin2 = twiddles[2 * w + 1]
    const cos3 = twiddles[3 * w]
    const sin3 = twiddles[3 * w + 1]
    const end = stride * (p + 1)
    const shift = 3 * stride * p
    for (let a = stride * p; a < end; a++) {
      const b = a + quarter
      const c = b + quarter
      const d = c + quarter
      const acSumRe = re[a] + re[c]
      const acSumIm = im[a] + im[c]
      const acLessRe = re[a] - re[c]
      const acLessIm = im[a] - im[c]
      const bdSumRe = re[b] + re[d]
      const bdSumIm = im[b] + im[d]
      const bdLessRe = re[b] - re[d]
      const bdLessIm = im[b] - im[d]
      const j = a + shift
      toRe[j] = acSumRe + bdSumRe
      toIm[j] = acSumIm + bdSumIm
      const re1 = acLessRe + bdLessIm
      const im1 = acLessIm - bdLessRe
      const re2 = acSumRe - bdSumRe
      const im2 = acSumIm - bdSumIm
      const re3 = acLessRe - bdLessIm
      const im3 = acLessIm + bdLessRe
      const j1 = j + stride
      const j2 = j1 + stride
      const j3 = j2 + stride
      toRe[j1] = re1 * cos1 - im1 * sin1
      toIm[j1] = re1 * sin1 + im1 * cos1
      toRe[j2] = re2 * cos2 - im2 * sin2
      toIm[j2] = re2 * sin2 + im2 * cos2
      toRe[j3] = re3 * cos3 - im3 * sin3
      toIm[j3] = re3 * sin3 + im3 * cos3
    }
  }
}

/** n = 2. */
export function lastPassOf2(
  re: Float64Array,
  im: Float64Array,
  stride: number,
  toRe: Float64Array,
  toIm: Float64Array,
): void {
  for (let a = 0; a < stride; a++) {
    const b = a + stride
    toRe[a] = re[a] + re[b]
    toIm[a] = im[a] + im[b]
    toRe[b] = re[a] - re[b]
    toIm[b] = im[a] - im[b]
  }
}

/** n = 4. */
export function lastPassOf4(
  re: Float64Array,
  im: Float64Array,
  stride: number,
  toRe: Float64Array,
  toIm: Float64Array,
): void {
  for (let a = 0; a < stride; a++) {
    const b = a + stride
    const c = b + stride
    const d = c + stride
    const acSumRe = re[a] + re[c]
    const acSumIm = im[a] + im[c]
    const acLessRe = re[a] - re[c]
    const acLessIm = im[a] - im[c]
    const bdSumRe = re[b] + re[d]
    const bdSumIm = im[b] + im[d]
    const bdLessRe = re[b] - re[d]
    const bdLessIm = im[b] - im[d]
    toRe[a] = acSumRe + bdSumRe
    toIm[a] = acSumIm + bdSumIm
    toRe[b] = acLessRe + bdLessIm
    toIm[b] = acLessIm - bdLessRe
    toRe[c] = acSumRe - bdSumRe
    toIm[c] = acSumIm - bdSumIm
    toRe[d] = acLessRe - bdLessIm
    toIm[d] = acLessIm + bdLessRe
  }
}

/** n = 8: two transforms of 4 over even and odd inputs, joined by eighth turns. */
export function lastPassOf8(
  re: Float64Array,
  im: Float64Array,
  stride: number,
  toRe: Float64Array,
  toIm: Float64Array,
): void {
  const root = Math.SQRT1_2
  for (let i0 = 0; i0 < stride; i0++) {
    const i1 = i0 + stride
    const i2 = i1 + stride
    const i3 = i2 + stride
    const i4 = i3 + stride
    const i5 = i4 + stride
    const i6 = i5 + stride
    const i7 = i6 + stride
    const sum04Re = re[i0] + re[i4]
    const sum04Im = im[i0] + im[i4]
    const less04Re = re[i0] - re[i4]
    const less04Im = im[i0] - im[i4]
    const sum26Re = re[i2] + re[i6]
    const sum26Im = im[i2] + im[i6]
    const turned26Re = im[i2] - im[i6]
    const turned26Im = re[i6] - re[i2]
    const sum15Re = re[i1] + re[i5]
    const sum15Im = im[i1] + im[i5]
    const less15Re = re[i1] - re[i5]
    const less15Im = im[i1] - im[i5]
    const sum37Re = re[i3] + re[i7]
    const sum37Im = im[i3] + im[i7]
    const less37Re = re[i3] - re[i7]
    const less37Im = im[i3] - im[i7]
    // Outputs 0, 4, 2, 6.
    const even0Re = sum04Re + sum26Re
    const even0Im = sum04Im + sum26Im
    const even2Re = sum04Re - sum26Re
    const even2Im = sum04Im - sum26Im
    const odd0Re = sum15Re + sum37Re
    const odd0Im = sum15Im + sum37Im
    const odd2Re = sum15Im - sum37Im
    const odd2Im = sum37Re - sum15Re
    toRe[i0] = even0Re + odd0Re
    toIm[i0] = even0Im + odd0Im
    toRe[i4] = even0Re - odd0Re
    toIm[i4] = even0Im - odd0Im
    toRe[i2] = even2Re + odd2Re
    toIm[i2] = even2Im + odd2Im
    toRe[i6] = even2Re - odd2Re
    toIm[i6] = even2Im - odd2Im
    // Outputs 1, 5, 3, 7.
    const turned15Re = root * (less15Re + less15Im)
    const turned15Im = root * (less15Im - less15Re)
    const turned37Re = root * (less37Im - less37Re)
    const turned37Im = -root * (less37Re + less37Im)
    const even1Re = less04Re + turned26Re
    const even1Im = less04Im + turned26Im
    const even3Re = less04Re - turned26Re
    const even3Im = less04Im - turned26Im
    const odd1Re = turned15Re + turned37Re
    const odd1Im = turned15Im + turned37Im
    const odd3Re = turned15Im - turned37Im
    const odd3Im = turned37Re - turned15Re
    toRe[i1] = even1Re + odd1Re
    toIm[i1] = even1Im + odd1Im
    toRe[i5] = even1Re - odd1Re
    toIm[i5] = even1Im - odd1Im
    toRe[i3] = even3Re + odd3Re
    toIm[i3] = even3Im + odd3Im
    toRe[i7] = even3Re - odd3Re
    toIm[i7] = even3Im - odd3Im
  }
}
