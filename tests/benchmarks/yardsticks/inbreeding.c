/* Plain ancestor tracing and the plain tabular method, as the reference that the benchmarks of kinship measure against.
 *
 * Birds are numbered 0 .. n-1 with parents first; an unknown parent is -1.
 */
#include <stdlib.h>

/* F of every bird: 1 + F = sum over ancestors of (share of the genes)^2 times the Mendelian part D of the ancestor,
 * worked down a linked list of ancestors sorted by number (R. L. Quaas 1976, Biometrics 32:949-953; T. H. E.
 * Meuwissen & Z. Luo 1992, Genetics Selection Evolution 24:305-313; both from memory).  Chicks of one pair share
 * their F; the last pair met is remembered per sire, and full sibs usually stand together. */
void inbreeding_by_tracing(int n, const int *sire, const int *dam, double *f) {
    double *share = calloc(n, sizeof(double)), *part = malloc(n * sizeof(double));
    int *next = malloc(n * sizeof(int));
    int *last_chick = malloc(n * sizeof(int));
    for (int i = 0; i < n; i++) { next[i] = -2; last_chick[i] = -1; }
    for (int i = 0; i < n; i++) {
        int s = sire[i], d = dam[i];
        double fs = s < 0 ? -1.0 : f[s], fd = d < 0 ? -1.0 : f[d];
        part[i] = 0.5 - 0.25 * (fs + fd);
        if (s < 0 || d < 0) { f[i] = 0.0; continue; }
        int sib = last_chick[s];
        if (sib >= 0 && dam[sib] == d) { f[i] = f[sib]; last_chick[s] = i; continue; }
        last_chick[s] = i;
        double sum = -1.0;
        int head = i;
        share[i] = 1.0; next[i] = -1;
        while (head >= 0) {
            int a = head;
            double half = 0.5 * share[a];
            int parents[2] = {sire[a], dam[a]};
            int from = a;
            if (parents[0] < parents[1]) { int t = parents[0]; parents[0] = parents[1]; parents[1] = t; }
            for (int k = 0; k < 2; k++) {
                int p = parents[k];
                if (p < 0) continue;
                share[p] += half;
                if (next[p] == -2) {
                    while (next[from] > p) from = next[from];
                    next[p] = next[from]; next[from] = p;
                }
                from = p;
            }
            sum += share[a] * share[a] * part[a];
            head = next[a];
            share[a] = 0.0; next[a] = -2;
        }
        f[i] = sum;
    }
    free(share); free(part); free(next); free(last_chick);
}

/* The whole kinship matrix, row after row. */
void kinship_matrix(long n, const int *sire, const int *dam, double *k) {
    for (long i = 0; i < n; i++) {
        double *row = k + i * n;
        long s = sire[i], d = dam[i];
        if (s >= 0 && d >= 0) {
            const double *rs = k + s * n, *rd = k + d * n;
            for (long j = 0; j < i; j++) row[j] = 0.5 * (rs[j] + rd[j]);
            row[i] = 0.5 + 0.5 * rs[d];
        } else if (s >= 0 || d >= 0) {
            const double *rp = k + (s >= 0 ? s : d) * n;
            for (long j = 0; j < i; j++) row[j] = 0.5 * rp[j];
            row[i] = 0.5;
        } else {
            for (long j = 0; j < i; j++) row[j] = 0.0;
            row[i] = 0.5;
        }
        for (long j = 0; j < i; j++) k[j * n + i] = row[j];
    }
}
